import { useEffect, useState } from 'preact/hooks';
import { LARGEST_PHOTO } from '../../../log-book/index.ts';
import { say } from '../state/voice.ts';
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
  /** How many of the files that were given last are no photos. */
  const [bad, setBad] = useState(0);
  const add = async (files: readonly File[]) => {
    const read = await Promise.all(files.map(shrunk));
    const good = read.filter((each) => each !== null);
    onChange((before) => [...before, ...good]);
    setBad(read.length - good.length);
  };
  return (
    <section class="photo-field" aria-labelledby="photo-field">
      <h2 id="photo-field">{say('log-screen.photos')}</h2>
      <ul class="photos">
        {photos.map((photo, at) => (
          <li key={`${at} ${photo.size}`}>
            <BlobPhoto photo={photo} words={say('log-screen.photo-of', { at: at + 1, count: photos.length })} />
            <button
              type="button"
              class="quiet"
              aria-label={say('log-screen.take-photo-out', { at: at + 1 })}
              onClick={() => onChange((before) => before.filter((each) => each !== photo))}
            >
              {say('log-screen.take-out')}
            </button>
          </li>
        ))}
        <li>
          <label class="add-photo">
            <span>{say(photos.length === 0 ? 'log-screen.take-or-choose' : 'log-screen.add-another')}</span>
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
        {bad > 0
          ? say('log-screen.no-photo-kept', { count: bad })
          : say('log-screen.photo-limit', { most: LARGEST_PHOTO / 2 ** 20 })}
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
