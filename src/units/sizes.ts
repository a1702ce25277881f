/** Litres in one US gallon, exact by definition (231 cubic inches of 2.54 cm). */
export const LITRES_PER_GALLON = 3.785411784;
/** Metres in one international foot, exact. */
export const METRES_PER_FOOT = 0.3048;
/** Millimetres in one inch, exact. */
export const MM_PER_INCH = 25.4;
/** Square metres in one acre (43,560 square feet), exact. */
export const SQUARE_METRES_PER_ACRE = 43_560 * METRES_PER_FOOT ** 2;
