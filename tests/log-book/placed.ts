import exifr from 'exifr';
import { expect } from 'vitest';
import { withoutPlace } from '../../src/log-book/index.ts';
/** Puts the place where a photo was taken into its bytes, as cameras and programs do. Boulder, Colorado. */

export const PLACE = { latitude: 40.015, longitude: -105.2705 };
/** Stands in every block that is put in, so that a look through the bytes finds what was left. */
export const MARK = 'near Boulder Creek';

type Order = 'II' | 'MM';

const ascii = (text: string) => Buffer.from(text, 'latin1');
const be32 = (value: number) => {
  const bytes = Buffer.alloc(4);
  bytes.writeUInt32BE(value >>> 0);
  return bytes;
};
const be16 = (value: number) => Buffer.from([value >> 8, value & 255]);
const le32 = (value: number) => Buffer.from(be32(value)).reverse();

/** An Exif block (TIFF) with a description, which way up the photo is, and the GPS directory (Exif 2.32). */
export function exifOf({ orientation, order = 'MM' }: { orientation: number; order?: Order }): Buffer {
  const isLittle = order === 'II';
  const bytes = Buffer.alloc(300);
  const put16 = (value: number, at: number) =>
    isLittle ? bytes.writeUInt16LE(value, at) : bytes.writeUInt16BE(value, at);
  const put32 = (value: number, at: number) =>
    isLittle ? bytes.writeUInt32LE(value, at) : bytes.writeUInt32BE(value, at);
  bytes.write(order, 0, 'latin1');
  put16(42, 2);
  put32(8, 4);
  let data = 140;
  const entry = (
    at: number,
    tag: number,
    type: number,
    count: number,
    put: (place: number) => void,
    length: number,
  ) => {
    put16(tag, at);
    put16(type, at + 2);
    put32(count, at + 4);
    if (length <= 4) return put(at + 8);
    put32(data, at + 8);
    put(data);
    data += length;
  };
  const text = (at: number, tag: number, value: string) =>
    entry(at, tag, 2, value.length + 1, (place) => void bytes.write(value, place, 'latin1'), value.length + 1);
  const angle = (at: number, tag: number, degrees: number) =>
    entry(
      at,
      tag,
      5,
      3,
      (place) => {
        [Math.floor(degrees), 1, Math.round((degrees % 1) * 600_000), 10_000, 0, 1].forEach((each, n) => {
          put32(each, place + 4 * n);
        });
      },
      24,
    );
  put16(3, 8);
  text(10, 0x010e, MARK);
  entry(22, 0x0112, 3, 1, (place) => put16(orientation, place), 2);
  entry(34, 0x8825, 4, 1, (place) => put32(60, place), 4);
  put16(4, 60);
  text(62, 1, 'N');
  angle(74, 2, PLACE.latitude);
  text(86, 3, 'W');
  angle(98, 4, -PLACE.longitude);
  return bytes.subarray(0, data);
}

const XMP = `<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description xmlns:exif="http://ns.adobe.com/exif/1.0/" exif:GPSLatitude="40,0.9N" exif:GPSLongitude="105,16.23W" note="${MARK}"/></rdf:RDF></x:xmpmeta>`;

const segment = (marker: number, ...parts: Buffer[]) => {
  const content = Buffer.concat(parts);
  return Buffer.concat([Buffer.from([0xff, marker]), be16(content.length + 2), content]);
};

/** A JPEG with Exif, XMP, IPTC, a comment and a second picture (with Exif of its own) behind the first. */
export function placedJpeg(jpeg: Uint8Array, exif: Buffer): Buffer {
  const exifSegment = segment(0xe1, ascii('Exif\0\0'), exif);
  const iptc = Buffer.concat([Buffer.from([0x1c, 2, 90]), be16(MARK.length), ascii(MARK)]);
  return Buffer.concat([
    jpeg.subarray(0, 2),
    exifSegment,
    exifSegment,
    segment(0xe1, ascii('http://ns.adobe.com/xap/1.0/\0'), ascii(XMP)),
    segment(0xe1, ascii('http://ns.adobe.com/xmp/extension/\0'), ascii(XMP)),
    segment(0xe2, ascii('MPF\0'), ascii(MARK)),
    segment(0xed, ascii('Photoshop 3.0\x008BIM'), be16(0x0404), be16(0), be32(iptc.length), iptc),
    segment(0xfe, ascii(MARK)),
    jpeg.subarray(2),
    jpeg.subarray(0, 2),
    exifSegment,
    jpeg.subarray(2),
    ascii(MARK),
  ]);
}

/** The check sum of PNG's chunks, bit by bit (ISO 3309). */
function crcOf(bytes: Uint8Array): number {
  let crc = -1;
  for (const byte of bytes)
    for (let bit = 0; bit < 8; bit++) crc = (crc >>> 1) ^ (((crc ^ (byte >> bit)) & 1) * 0xedb88320);
  return ~crc;
}

const pngChunk = (name: string, content: Buffer) => {
  const named = Buffer.concat([ascii(name), content]);
  return Buffer.concat([be32(content.length), named, be32(crcOf(named))]);
};

/** A PNG with Exif, XMP and texts, and something behind its end. */
export function placedPng(png: Uint8Array, exif: Buffer): Buffer {
  const afterHeader = 8 + 25;
  return Buffer.concat([
    png.subarray(0, afterHeader),
    pngChunk('eXIf', exif),
    pngChunk('iTXt', ascii(`XML:com.adobe.xmp\0\0\0\0\0${XMP}`)),
    pngChunk('tEXt', ascii(`Comment\0${MARK}`)),
    pngChunk('zTXt', ascii(`Comment\0\0${MARK}`)),
    pngChunk('plAc', ascii(MARK)),
    png.subarray(afterHeader),
    ascii(MARK),
  ]);
}

const webpChunk = (name: string, content: Buffer) =>
  Buffer.concat([ascii(name), le32(content.length), content, Buffer.alloc(content.length % 2)]);

/** A WebP of this size with Exif, XMP and a chunk nobody knows. */
export function placedWebp(
  webp: Uint8Array,
  exif: Buffer,
  { width, height }: { width: number; height: number },
): Buffer {
  const flags = 0x08 | 0x04;
  const extended = [flags, 0, 0, 0, width - 1, 0, 0, height - 1, 0, 0];
  const isExtended = ascii('VP8X').equals(webp.subarray(12, 16));
  const chunks = Buffer.from(webp.subarray(isExtended ? 30 : 12));
  // The alpha bit of an extended file stays.
  if (isExtended) extended[0] |= webp[20];
  const content = Buffer.concat([
    ascii('WEBP'),
    webpChunk('VP8X', Buffer.from(extended)),
    chunks,
    webpChunk('EXIF', exif),
    webpChunk('XMP ', ascii(XMP)),
    webpChunk('PLAC', ascii(MARK)),
  ]);
  return Buffer.concat([ascii('RIFF'), le32(content.length), content, ascii(MARK)]);
}

const box = (name: string, ...parts: Buffer[]) => {
  const content = Buffer.concat(parts);
  return Buffer.concat([be32(content.length + 8), ascii(name), content]);
};
const fullBox = (name: string, version: number, ...parts: Buffer[]) =>
  box(name, Buffer.from([version, 0, 0, 0]), ...parts);

/** A HEIC built as cameras build it (ISO 23008-12): two pictures, one of two pieces, a grid of them, Exif and XMP. */
export function placedHeic(pictures: readonly [Buffer, Buffer], exif: Buffer): Buffer {
  const [one, two] = pictures;
  const exifItem = Buffer.concat([be32(6), ascii('Exif\0\0'), exif]);
  const grid = Buffer.from([0, 0, 0, 1, 0, 20, 0, 10]);
  const data = Buffer.concat([one.subarray(0, 10), exifItem, one.subarray(10), ascii(XMP), two]);
  const infe = (id: number, type: string, more = '') =>
    fullBox('infe', 2, be16(id), be16(0), ascii(type), ascii(`\0${more}`));
  const infos = [
    infe(1, 'hvc1'),
    infe(2, 'hvc1'),
    infe(3, 'grid'),
    infe(4, 'Exif'),
    infe(5, 'mime', 'application/rdf+xml\0'),
  ];
  const partsAt = (at: number) => {
    const afterExif = at + 10 + exifItem.length;
    const afterOne = afterExif + one.length - 10;
    return [
      {
        id: 1,
        method: 0,
        extents: [
          [at, 10],
          [afterExif, one.length - 10],
        ],
      },
      { id: 2, method: 0, extents: [[afterOne + XMP.length, two.length]] },
      { id: 3, method: 1, extents: [[0, grid.length]] },
      { id: 4, method: 0, extents: [[at + 10, exifItem.length]] },
      { id: 5, method: 0, extents: [[afterOne, XMP.length]] },
    ];
  };
  const metaWith = (at: number) =>
    fullBox(
      'meta',
      0,
      fullBox('hdlr', 0, be32(0), ascii('pict'), Buffer.alloc(13)),
      fullBox('pitm', 0, be16(1)),
      fullBox('iinf', 0, be16(infos.length), ...infos),
      fullBox(
        'iloc',
        1,
        Buffer.from([0x44, 0]),
        be16(5),
        ...partsAt(at).map(({ id, method, extents }) =>
          Buffer.concat([
            be16(id),
            be16(method),
            be16(0),
            be16(extents.length),
            ...extents.flatMap(([from, length]) => [be32(from), be32(length)]),
          ]),
        ),
      ),
      box('idat', grid),
    );
  const type = box('ftyp', ascii('heic'), be32(0), ascii('mif1heic'));
  const film = box('moov', box('udta', ascii(MARK)));
  const before = type.length + metaWith(0).length + film.length + 8;
  return Buffer.concat([type, metaWith(before), film, box('mdat', data), box('uuid', Buffer.alloc(16), ascii(XMP))]);
}

/** A photo as others get to see it; a test fails where it is shown to nobody. */
export const cleaned = (photo: Uint8Array) => {
  const clean = withoutPlace(photo);
  expect(clean).not.toBeNull();
  return Buffer.from(clean ?? []);
};
/** The place by exifr, a reader of Exif and XMP that is not ours; null where it finds none. */
export const placeOf = async (photo: Buffer) => {
  const { latitude, longitude } = (await exifr.parse(photo, { xmp: true, iptc: true })) ?? {};
  return latitude === undefined ? null : [latitude, longitude];
};

const orders = ['II', 'MM'] as const;
const orientations = [1, 3, 6, 8];
/** Every order of bytes, and a turn each way. */
export const turns = orders.flatMap((order) => orientations.map((orientation) => ({ order, orientation })));
