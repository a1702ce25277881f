/** A condition in which everything is as it should not be, beside the oil. */
export const STEPS_ALL = {
  sludgeMm: 160,
  packs: 'adrift',
  sorbent: 'soaked',
  packsRide: 'deep',
  debris: true,
  plates: 'broken',
  concrete: 'cracked',
  sheenAtOutlet: true,
};
