import { type Problem, problem } from './problem.ts';

const LAYERS = 'export its layers as GeoJSON in WGS 84, and bring those in with oilshed import';
const PICTURE = 'draw the yard after it, or ask for the GIS layers it was made from';
const TABLE = 'export what is in it as GeoJSON or, for findings, write it as JSON';
const UNPACK = 'unpack it and name the file inside';
const LINK = 'download the file itself: a page may have come in its place, to sign in on for one';

/** How a file begins, or a pattern of it, a letter for each byte; what it is called; what to do. */
type Format = readonly [sign: string | RegExp, what: string, cure: string];

const FORMATS: readonly Format[] = [
  [/^(\xff\xfe|\xfe\xff|[{[]\0|\0[{[])/, 'text as UTF-16', 'save it again as UTF-8'],
  ['\0\0\x27\x0a', 'a shapefile', LAYERS],
  [/^SQLite format 3\0.{52}(GPKG|GP1\d)/s, 'a GeoPackage', LAYERS],
  ['SQLite format 3\0', 'an SQLite database', LAYERS],
  ['fgb\x03fgb', 'a FlatGeobuf', LAYERS],
  [/^AC10\d\d/, 'a DWG drawing', LAYERS],
  [/^(AutoCAD Binary DXF|\s*(0\r?\n\s*SECTION|999\r?\n))/, 'a DXF drawing', LAYERS],
  ['%PDF-', 'a PDF', PICTURE],
  ['\x89PNG\r\n', 'a PNG picture', PICTURE],
  ['\xff\xd8\xff', 'a JPEG picture', PICTURE],
  [/^(II\*\0|MM\0\*)/, 'a TIFF picture', PICTURE],
  [/^(GIF8|RIFF.{4}WEBP)/s, 'a picture', PICTURE],
  ['\xd0\xcf\x11\xe0', 'a file of an older office program', TABLE],
  ['\x1f\x8b', 'packed with gzip', UNPACK],
  [/^(\xef\xbb\xbf)?\s*<(!doctype html|html)\b/i, 'a web page', LINK],
  [/^(\xef\xbb\xbf)?\s*(<.*)?<kml\b/is, 'KML', LAYERS],
  [/^(\xef\xbb\xbf)?\s*<.*opengis\.net\/gml/is, 'GML', LAYERS],
  [/^(\xef\xbb\xbf)?\s*<(\?xml|[a-z])/i, 'XML', LAYERS],
];

/** What a zip is, by the names of the files in it. */
const ZIPS: readonly Format[] = [
  [/entries\.jsonl/, 'an export of a log book', 'take it in with oilshed log import'],
  [/\.kml/i, 'a KMZ', LAYERS],
  [/xl\/(workbook|worksheets)/, 'an Excel workbook', TABLE],
  [/\.shp/i, 'a zip with a shapefile', LAYERS],
  ['', 'a zip', UNPACK],
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
  const rest = { message: `it is ${what}, and no JSON`, found: what, allowed: 'JSON in UTF-8', cure };
  return problem('other-format', { id: null, field: null }, rest);
}

const lettersOf = (bytes: Uint8Array) => String.fromCharCode(...bytes);
