/** Volumes of partly filled vessels, each with its source. */

/**
 * Filled fraction of a horizontal cylinder by depth over diameter, to the four digits of Perry's Chemical Engineers'
 * Handbook; `exact` is the closed formula evaluated independently.
 */
export const FILLED_FRACTIONS = [
  { depthOverDiameter: 0.05, printed: 0.0187, exact: 0.018693036734249307 },
  { depthOverDiameter: 0.1, printed: 0.052, exact: 0.0520440193309139 },
  { depthOverDiameter: 0.15, printed: 0.0941, exact: 0.0940602021870937 },
  { depthOverDiameter: 0.2, printed: 0.1424, exact: 0.14237848993264707 },
  { depthOverDiameter: 0.25, printed: 0.1955, exact: 0.19550110947788538 },
  { depthOverDiameter: 0.3, printed: 0.2523, exact: 0.25231578773434543 },
  { depthOverDiameter: 0.35, printed: 0.3119, exact: 0.3119188323905364 },
  { depthOverDiameter: 0.4, printed: 0.3735, exact: 0.373530039052331 },
  { depthOverDiameter: 0.45, printed: 0.4364, exact: 0.4364442857847691 },
  { depthOverDiameter: 0.5, printed: 0.5, exact: 0.5 },
  { depthOverDiameter: 0.6, printed: 0.6265, exact: 0.626469960947669 },
  { depthOverDiameter: 0.7, printed: 0.7477, exact: 0.7476842122656545 },
  { depthOverDiameter: 0.75, printed: 0.8045, exact: 0.8044988905221148 },
  { depthOverDiameter: 0.8, printed: 0.8576, exact: 0.8576215100673531 },
  { depthOverDiameter: 0.9, printed: 0.948, exact: 0.9479559806690862 },
  { depthOverDiameter: 0.95, printed: 0.9813, exact: 0.9813069632657506 },
] as const;

/** Horizontal cylinder of 0.5 m by 1.2 m, litres: closed formula, confirmed by scipy quadrature. */
export const LYING_CYLINDER = { diameterMm: 500, lengthMm: 1200 } as const;
export const LYING_CYLINDER_LITRES = [
  { mm: 50, litres: 12.262583 },
  { mm: 100, litres: 33.547141 },
  { mm: 200, litres: 88.010942 },
  { mm: 250, litres: 117.809725 },
  { mm: 400, litres: 202.072308 },
  { mm: 500, litres: 235.619449 },
] as const;

/** Rectangular pan 0.2 × 0.3 m to 0.25 × 0.35 m over 0.08 m, litres: prismoidal formula, confirmed by quadrature. */
export const PAN = { floorLengthMm: 300, floorWidthMm: 200, rimLengthMm: 350, rimWidthMm: 250, heightMm: 80 } as const;
export const PAN_LITRES = [
  { mm: 80, litres: 5.866667 },
  { mm: 40, litres: 2.658333 },
] as const;

/** Upright cylinder of radius 0.05 m filled to 0.3 m, litres: closed formula, confirmed by quadrature. */
export const UPRIGHT_CYLINDER = { diameterMm: 100, heightMm: 300, litres: 2.356194 } as const;
