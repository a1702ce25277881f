import { gzipSync, strToU8, zipSync } from 'fflate';
import { describe, expect, test } from 'vitest';
import { otherFormat } from '../../src/site-map/index.ts';
import { englishProblems } from '../support/english.ts';

const file = (...parts: (string | number[])[]) =>
  new Uint8Array(parts.flatMap((part) => (typeof part === 'string' ? [...strToU8(part)] : part)));
const utf16 = (text: string) => new Uint8Array(Buffer.from(text, 'utf16le'));
const sqlite = (application: string) => file('SQLite format 3\0', new Array<number>(52).fill(1), application, [0, 0]);
const zip = (...names: string[]) => zipSync(Object.fromEntries(names.map((name) => [name, strToU8('x')])));

describe('a file of another format is told for what it is', () => {
  test.each<[what: string, bytes: Uint8Array]>([
    // The beginnings are those of the formats' own descriptions; zips, gzip and UTF-16 are made.
    ['a shapefile', file([0, 0, 0x27, 0x0a], new Array<number>(96).fill(0))],
    ['a GeoPackage', sqlite('GPKG')],
    ['a GeoPackage', sqlite('GP10')],
    ['an SQLite database', sqlite('\0\0\0\0')],
    ['a FlatGeobuf', file('fgb\x03fgb\x00')],
    ['a DWG drawing', file('AC1032\0\0')],
    ['a DXF drawing', file('  0\r\nSECTION\r\n  2\r\nHEADER\r\n')],
    ['a DXF drawing', file('AutoCAD Binary DXF\r\n\x1a\0')],
    ['a PDF', file('%PDF-1.7\n')],
    ['a PNG picture', file([0x89], 'PNG\r\n\x1a\n')],
    ['a JPEG picture', file([0xff, 0xd8, 0xff, 0xe0])],
    ['a TIFF picture', file('II*\0')],
    ['a file of an older office program', file([0xd0, 0xcf, 0x11, 0xe0])],
    ['packed with gzip', gzipSync(strToU8('{"type":"FeatureCollection"}'))],
    ['a KMZ', zip('doc.kml', 'files/lid.png')],
    ['an Excel workbook', zip('[Content_Types].xml', '_rels/.rels', 'xl/workbook.xml', 'xl/worksheets/sheet1.xml')],
    ['a zip with a shapefile', zip('pipes.dbf', 'pipes.shp', 'pipes.shx')],
    ['an export of a log book', zip('entries.jsonl', 'entries.csv')],
    ['a zip', zip('photo.jpg')],
    ['a web page', file('<!DOCTYPE html>\n<html lang="en">')],
    ['a web page', file('\uFEFF\n<html>')],
    ['KML', file('<?xml version="1.0"?>\n<!-- a yard -->\n<kml xmlns="http://www.opengis.net/kml/2.2">')],
    ['GML', file('<?xml version="1.0"?>\n<FeatureCollection xmlns:gml="http://www.opengis.net/gml/3.2">')],
    ['XML', file('<?xml version="1.0"?>\n<layers/>')],
    ['text as UTF-16', utf16('\uFEFF{"type":"FeatureCollection"}')],
    ['text as UTF-16', utf16('{"type":"FeatureCollection"}')],
  ])('%s', (what, bytes) => {
    const problem = otherFormat(bytes);
    expect(englishProblems(problem ? [problem] : [])).toMatchObject([
      {
        code: 'other-format',
        message: `it is ${what}, and no JSON`,
        found: what,
        cure: expect.stringMatching(/^[a-z]/),
      },
    ]);
  });

  test.each([
    '',
    ' ',
    '{"type":"FeatureCollection","features":[]}',
    '\uFEFF{}',
    '[1, 2]',
    '{"note":"<kml>%PDF-"}',
    'null',
    '0',
    'PK',
  ])('%j may be JSON', (text) => {
    expect(otherFormat(strToU8(text))).toBeNull();
  });
});
