/** The largest photo that is taken in, in bytes. */
export const LARGEST_PHOTO = 12 * 1024 * 1024;

const HEIC_BRANDS = ['heic', 'heix', 'heim', 'heis', 'hevc', 'hevx', 'mif1', 'msf1'];

/** Bytes as text, one character a byte. */
export const text = (bytes: Uint8Array, from: number, to: number) => String.fromCharCode(...bytes.subarray(from, to));

/**
 * The media type of a photo by its first bytes, whatever its name says; null where it is none that is taken in.
 * JPEG (ITU-T T.81), PNG (ISO 15948), WebP (RFC 9649), HEIC (ISO 23008-12). O(1).
 */
export function photoType(bytes: Uint8Array): string | null {
  if (text(bytes, 0, 3) === '\xff\xd8\xff') return 'image/jpeg';
  if (text(bytes, 0, 8) === '\x89PNG\r\n\x1a\n') return 'image/png';
  if (text(bytes, 0, 4) === 'RIFF' && text(bytes, 8, 12) === 'WEBP') return 'image/webp';
  if (text(bytes, 4, 8) === 'ftyp' && HEIC_BRANDS.includes(text(bytes, 8, 12))) return 'image/heic';
  return null;
}
