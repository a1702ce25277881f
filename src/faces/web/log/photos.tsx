import { useEffect, useState } from 'preact/hooks';
import { LARGEST_PHOTO } from '../../../log-book/index.ts';
import { shrunk } from './shrink.ts';

/** Photos that are taken or chosen, as small pictures that can be taken out again. */
export function PhotoField({
  photos,
  onChange,
}: {
  photos: readonly Blob[];
  /** What becomes of the photos as they then are: others may be added while one is made smaller. */
  onChange: (update: (photos: readonly Blob[]) => Blob[]) => void;
}) {
  const [trouble, setTrouble] = useState('');
  const add = async (files: readonly File[]) => {
    const read = await Promise.all(files.map(shrunk));
    const good = read.filter((each) => each !== null);
    onChange((before) => [...before, ...good]);
    const bad = read.length - good.length;
    setTrouble(bad === 0 ? '' : `${bad === 1 ? 'One file is' : `${bad} files are`} no photo that can be kept.`);
  };
  return (
    <section class="photo-field" aria-labelledby="photo-field">
      <h2 id="photo-field">Photos</h2>
      <ul class="photos">
        {photos.map((photo, at) => (
          <li key={`${at} ${photo.size}`}>
            <BlobPhoto photo={photo} words={`${at + 1} of ${photos.length}`} />
            <button
              type="button"
              class="quiet"
              aria-label={`Take photo ${at + 1} out`}
              onClick={() => onChange((before) => before.filter((each) => each !== photo))}
            >
              Take out
            </button>
          </li>
        ))}
        <li>
          <label class="add-photo">
            <span>{photos.length === 0 ? 'Take or choose photos' : 'Add another'}</span>
            <input
              type="file"
              class="unseen"
              accept="image/jpeg,image/png,image/webp,image/heic"
              multiple
              onChange={({ currentTarget }) => {
                const files = [...(currentTarget.files ?? [])];
                currentTarget.value = '';
                void add(files);
              }}
            />
          </label>
        </li>
      </ul>
      <p class="hint" role="status">
        {trouble || `Up to ${LARGEST_PHOTO / 2 ** 20} MB each; a larger one is made smaller.`}
      </p>
    </section>
  );
}

/** A photo that is not in the log book yet. */
export function BlobPhoto({ photo, words }: { photo: Blob; words: string }) {
  const [url, setUrl] = useState('');
  useEffect(() => {
    const made = URL.createObjectURL(photo);
    setUrl(made);
    return () => URL.revokeObjectURL(made);
  }, [photo]);
  return url === '' ? null : <img src={url} alt={words} />;
}
