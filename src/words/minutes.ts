/** Minutes in words, rounded down, so that nobody counts on time that there is not. */
export function saidMinutes(minutes: number): string {
  if (minutes <= 0) return 'now';
  if (minutes < 1) return 'within a minute';
  if (minutes < 120) return `in about ${Math.floor(minutes)} min`;
  return `in about ${Math.floor(minutes / 60)} h`;
}

/** The same in a column: "now", "<1 min", "4 min". */
export function shortMinutes(minutes: number | null): string {
  if (minutes === null) return '–';
  if (minutes <= 0) return 'now';
  if (minutes < 1) return '<1 min';
  return minutes < 120 ? `${Math.floor(minutes)} min` : `${Math.floor(minutes / 60)} h`;
}

/** How long something takes, rounded up: "3 min". */
export function takesMinutes(minutes: number): string {
  return `${Math.ceil(minutes)} min`;
}
