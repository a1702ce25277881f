import { type Told, told } from '../catalogue/index.ts';
import { type Problem, problem } from './problem.ts';

const LAYERS = told('map.export-layers');
const PICTURE = told('map.draw-after-it');
const TABLE = told('map.write-as-json');
const UNPACK = told('map.unpack');
const LINK = told('map.download-file');

/** How a file begins, or a pattern of it, a letter for each byte; what it is called; what to do. */
type Format = readonly [sign: string | RegExp, what: string | Told, cure: Told];

const FORMATS: readonly Format[] = [
  [/^(\xff\xfe|\xfe\xff|[{[]\0|\0[{[])/, told('map.format-utf16'), told('map.save-utf8')],
  ['\0\0\x27\x0a', told('map.format-shapefile'), LAYERS],
  [/^SQLite format 3\0.{52}(GPKG|GP1\d)/s, told('map.format-geopackage'), LAYERS],
  ['SQLite format 3\0', told('map.format-sqlite'), LAYERS],
  ['fgb\x03fgb', told('map.format-flatgeobuf'), LAYERS],
  [/^AC10\d\d/, told('map.format-dwg'), LAYERS],
  [/^(AutoCAD Binary DXF|\s*(0\r?\n\s*SECTION|999\r?\n))/, told('map.format-dxf'), LAYERS],
  ['%PDF-', told('map.format-pdf'), PICTURE],
  ['\x89PNG\r\n', told('map.format-png'), PICTURE],
  ['\xff\xd8\xff', told('map.format-jpeg'), PICTURE],
  [/^(II\*\0|MM\0\*)/, told('map.format-tiff'), PICTURE],
  [/^(GIF8|RIFF.{4}WEBP)/s, told('map.format-picture'), PICTURE],
  ['\xd0\xcf\x11\xe0', told('map.format-office'), TABLE],
  ['\x1f\x8b', told('map.format-gzip'), UNPACK],
  [/^(\xef\xbb\xbf)?\s*<(!doctype html|html)\b/i, told('map.format-web-page'), LINK],
  [/^(\xef\xbb\xbf)?\s*(<.*)?<kml\b/is, 'KML', LAYERS],
  [/^(\xef\xbb\xbf)?\s*<.*opengis\.net\/gml/is, 'GML', LAYERS],
  [/^(\xef\xbb\xbf)?\s*<(\?xml|[a-z])/i, 'XML', LAYERS],
];

/** What a zip is, by the names of the files in it. */
const ZIPS: readonly Format[] = [
  [/entries\.jsonl/, told('map.format-export'), told('map.import-log')],
  [/\.kml/i, told('map.format-kmz'), LAYERS],
  [/xl\/(workbook|worksheets)/, told('map.format-workbook'), TABLE],
  [/\.shp/i, told('map.format-zipped-shapefile'), LAYERS],
  ['', told('map.format-zip'), UNPACK],
];

/** So much of a file is looked at, at its beginning and, for a zip's list of names, at its end. */
const LOOKED_AT = 4096;

/**
 * A problem that says what a file is where it is of another format than JSON in UTF-8, known by the bytes it begins with;
 * null where it may be JSON. Reads at most 8 kB.
 */
export function otherFormat(bytes: Uint8Array): Problem | null {
  const begin = lettersOf(bytes.subarray(0, LOOKED_AT));
  const isZip = begin.startsWith('PK\x03\x04') || begin.startsWith('PK\x05\x06');
  const text = isZip ? begin + lettersOf(bytes.subarray(-LOOKED_AT)) : begin;
  const format = (isZip ? ZIPS : FORMATS).find(([sign]) =>
    typeof sign === 'string' ? text.startsWith(sign) : sign.test(text),
  );
  if (!format) return null;
  const [, what, cure] = format;
  const rest = { message: told('map.other-format', { what }), found: what, allowed: told('map.json-utf8'), cure };
  return problem('other-format', { id: null, field: null }, rest);
}

const lettersOf = (bytes: Uint8Array) => String.fromCharCode(...bytes);
