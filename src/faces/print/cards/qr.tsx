import { encode } from 'uqr';

/** Light modules all round, which readers need. */
const QUIET = 4;

/** A QR code as one black path, to be read off a worn copy (15 % of it may be lost). */
export function QrCode({ text, label }: { text: string; label: string }) {
  const { data, size } = encode(text, { ecc: 'M', border: QUIET });
  const path = data.map((row, y) => row.map((isDark, x) => (isDark ? `M${x} ${y}h1v1h-1z` : '')).join('')).join('');
  return (
    <svg class="qr" viewBox={`0 0 ${size} ${size}`} role="img" aria-label={label} shape-rendering="crispEdges">
      <path d={path} />
    </svg>
  );
}
