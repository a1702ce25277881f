import { LARGEST_PHOTO, photoType } from '../../../log-book/index.ts';

/** The longer side of a photo that had to be made smaller, in pixels: a crack in a plate is still seen on it. */
const LONGER_SIDE = 3200;
const QUALITY = 0.85;

const HEAD_BYTES = 16;

/** The photo as it is, or made smaller where the log book would refuse it; null where it is none. */
export async function shrunk(file: Blob): Promise<Blob | null> {
  const type = photoType(new Uint8Array(await file.slice(0, HEAD_BYTES).arrayBuffer()));
  if (!type) return null;
  // Whatever the device called it: the log book goes by its first bytes.
  if (file.size <= LARGEST_PHOTO) return file.slice(0, file.size, type);
  try {
    const picture = await createImageBitmap(file);
    const scale = Math.min(1, LONGER_SIDE / Math.max(picture.width, picture.height));
    const canvas = document.createElement('canvas');
    canvas.width = Math.round(picture.width * scale);
    canvas.height = Math.round(picture.height * scale);
    canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    return await new Promise((resolve) => canvas.toBlob(resolve, 'image/jpeg', QUALITY));
  } catch {
    return null;
  }
}
