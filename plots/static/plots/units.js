// Units and how figures are written.

export const M_A_DEGREE = 111_320; // of latitude, roughly: for steps and rough figures
export const FT_A_M = 1 / 0.3048;
export const M2_AN_ACRE = 4046.8564224;

const number = (value, places) => value.toLocaleString("en-US", { minimumFractionDigits: places, maximumFractionDigits: places });

export const countText = (count) => number(count, 0);
export const acresText = (acres) => `${number(acres, 2)} ac`;
export const acresWithin = (acres, margin) => `${acresText(acres)} ± ${number(margin, 2)}`;
export const feetText = (feet) => `${number(feet, 0)} ft`;
