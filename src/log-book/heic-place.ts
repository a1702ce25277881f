/** A box of the ISO base media file format (ISO 14496-12 §4.2): its name, and where its content begins and ends. */
interface Box {
  name: string;
  at: number;
  content: number;
  end: number;
}

/** What stands in the file as it was; of data only the pictures, and nothing of anything else. */
const IN_FILE = new Set(['ftyp']);
const DATA = new Set(['meta', 'mdat', 'idat']);
/** What stands in `meta` that a picture needs. */
const IN_META = new Set(['hdlr', 'pitm', 'iinf', 'iloc', 'iref', 'iprp', 'dinf', 'grpl']);
/** Items that are pictures or made of pictures; the others are Exif, XMP and what else a maker wrote. */
const PICTURES = new Set(['hvc1', 'hev1', 'lhv1', 'hvt1', 'avc1', 'av01', 'grid', 'iden', 'iovl', 'tmap']);

/** More boxes beside each other than a photo has. */
const MOST_BOXES = 10_000;
const FREE = [0x66, 0x72, 0x65, 0x65];
/** Version and flags, at the start of some boxes' content. */
const VERSION_LENGTH = 4;

/**
 * HEIC, ISO 23008-12: the pictures and what describes them, each where it stood, and zeros between, so that nothing moves.
 * Which way up it is stands in the pictures' own properties. Null, or a RangeError, where the structure cannot be followed.
 */
export function heicWithoutPlace(bytes: Uint8Array, view: DataView): Uint8Array | null {
  const clean = new Uint8Array(bytes.length);
  const copy = (from: number, to: number) => clean.set(bytes.subarray(from, to), from);
  /** Copies the boxes that are named, of data only the head, and makes an empty space of the others. */
  const copyBoxes = (from: number, to: number, needed: ReadonlySet<string>) => {
    const all = boxesBetween(view, from, to);
    for (const { name, at, content, end } of all ?? []) {
      copy(at, needed.has(name) ? end : content);
      if (!needed.has(name) && !DATA.has(name)) clean.set(FREE, at + 4);
    }
    return all;
  };
  const file = copyBoxes(0, bytes.length, IN_FILE);
  const [meta, second] = file?.filter(({ name }) => name === 'meta') ?? [];
  if (!meta || second) return null;
  copy(meta.at, meta.content + VERSION_LENGTH);
  const inMeta = copyBoxes(meta.content + VERSION_LENGTH, meta.end, IN_META);
  const [infos, places, data] = ['iinf', 'iloc', 'idat'].map((name) => inMeta?.filter((box) => box.name === name));
  if (infos?.length !== 1 || places?.length !== 1 || !data || data.length > 1) return null;
  const pictures = picturesIn(view, infos[0]);
  const isWhole = pictures && eachExtent(view, { places: places[0], data: data[0], pictures }, copy);
  return isWhole ? clean : null;
}

function boxesBetween(view: DataView, from: number, to: number): Box[] | null {
  const all: Box[] = [];
  for (let at = from; at < to; ) {
    const word = view.getUint32(at);
    // 1: its length follows in 8 bytes; 0: it goes to the end.
    const content = at + (word === 1 ? 16 : 8);
    const length = word === 1 ? Number(view.getBigUint64(at + 8)) : word === 0 ? to - at : word;
    const end = at + length;
    if (end > to || end < content || all.length === MOST_BOXES) return null;
    all.push({ name: nameAt(view, at + 4), at, content, end });
    at = end;
  }
  return all;
}

const nameAt = (view: DataView, at: number) =>
  String.fromCharCode(...[0, 1, 2, 3].map((place) => view.getUint8(at + place)));

/** The numbers of the items that are pictures. */
function picturesIn(view: DataView, { content, end }: Box): Set<number> | null {
  const countLength = view.getUint8(content) === 0 ? 2 : 4;
  const infos = boxesBetween(view, content + VERSION_LENGTH + countLength, end);
  const pictures = new Set<number>();
  for (const { content: at } of infos ?? []) {
    const version = view.getUint8(at);
    // The older versions do not say what an item is.
    if (version < 2) return null;
    const idLength = version === 2 ? 2 : 4;
    const id = numberAt(view, at + VERSION_LENGTH, idLength);
    const type = nameAt(view, at + VERSION_LENGTH + idLength + 2);
    if (PICTURES.has(type)) pictures.add(id);
  }
  return infos && pictures;
}

const numberAt = (view: DataView, at: number, length: number): number => {
  if (length === 0) return 0;
  if (length === 2) return view.getUint16(at);
  return length === 4 ? view.getUint32(at) : Number(view.getBigUint64(at));
};

/** Goes through the pieces of the pictures where `iloc` (ISO 14496-12 §8.11.3) says they lie; false where that cannot be followed. */
function eachExtent(
  view: DataView,
  { places, data, pictures }: { places: Box; data?: Box; pictures: ReadonlySet<number> },
  visit: (from: number, to: number) => void,
): boolean {
  const version = view.getUint8(places.content);
  const sizes = view.getUint16(places.content + VERSION_LENGTH);
  const [offsetLength, extentLength, baseLength] = [sizes >> 12, (sizes >> 8) & 15, (sizes >> 4) & 15];
  const indexLength = version === 0 ? 0 : sizes & 15;
  const lengths = [offsetLength, baseLength, indexLength];
  // Without a length an item is all of a file.
  if (version > 2 || !lengths.every((length) => [0, 4, 8].includes(length)) || ![4, 8].includes(extentLength))
    return false;
  const idLength = version === 2 ? 4 : 2;
  let at = places.content + VERSION_LENGTH + 2;
  const count = numberAt(view, at, idLength);
  at += idLength;
  let total = 0;
  for (let item = 0; item < count; item++) {
    const isPicture = pictures.has(numberAt(view, at, idLength));
    at += idLength;
    // How the place is meant: in the file, or in the box `idat`.
    const method = version === 0 ? 0 : view.getUint16(at) & 15;
    at += version === 0 ? 0 : 2;
    const isElsewhere = view.getUint16(at) !== 0 || method > 1 || (method === 1 && !data);
    const base = numberAt(view, at + 2, baseLength) + (method === 1 ? (data?.content ?? 0) : 0);
    at += 2 + baseLength;
    const extentCount = view.getUint16(at);
    at += 2;
    const stride = indexLength + offsetLength + extentLength;
    if (!isPicture) {
      at += extentCount * stride;
      continue;
    }
    if (isElsewhere) return false;
    for (let extent = 0; extent < extentCount; extent++, at += stride) {
      const from = base + numberAt(view, at + indexLength, offsetLength);
      const length = numberAt(view, at + indexLength + offsetLength, extentLength);
      // None is empty, and together they are no longer than the file: else one stands on another.
      total += length;
      if (length === 0 || from + length > view.byteLength || total > view.byteLength) return false;
      visit(from, from + length);
    }
  }
  return at <= places.end;
}
