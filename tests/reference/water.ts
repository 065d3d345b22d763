/** Water at atmospheric pressure: density, speed of sound, boiling; the standard atmosphere. Each with its source. */

/** Tanaka et al. (2001), Metrologia 38, 301–309: recommended table, kg/m³ to four digits after the point. */
export const TANAKA_TABLE = [
  { tC: 0, kgPerM3: 999.8428 },
  { tC: 4, kgPerM3: 999.9749 },
  { tC: 10, kgPerM3: 999.7027 },
  { tC: 15, kgPerM3: 999.1026 },
  { tC: 20, kgPerM3: 998.2067 },
  { tC: 25, kgPerM3: 997.047 },
  { tC: 30, kgPerM3: 995.6488 },
  { tC: 35, kgPerM3: 994.0326 },
  { tC: 40, kgPerM3: 992.2152 },
] as const;

/** IAPWS-95 at 0.101325 MPa (IAPWS R6-95(2018)), computed with python3-iapws 1.5.2. */
export const IAPWS_95 = [
  { tC: 0.01, kgPerM3: 999.84376, mPerS: 1402.433 },
  { tC: 5, kgPerM3: 999.96663, mPerS: 1426.1694 },
  { tC: 10, kgPerM3: 999.70247, mPerS: 1447.2722 },
  { tC: 15, kgPerM3: 999.10262, mPerS: 1465.9295 },
  { tC: 20, kgPerM3: 998.20715, mPerS: 1482.3462 },
  { tC: 25, kgPerM3: 997.04764, mPerS: 1496.7014 },
  { tC: 30, kgPerM3: 995.64945, mPerS: 1509.1538 },
  { tC: 40, kgPerM3: 992.21635, mPerS: 1528.9045 },
  { tC: 50, kgPerM3: 988.03505, mPerS: 1542.5773 },
  { tC: 60, kgPerM3: 983.19582, mPerS: 1550.9735 },
  { tC: 70, kgPerM3: 977.76463, mPerS: 1554.7472 },
  { tC: 80, kgPerM3: 971.7904, mPerS: 1554.4302 },
  { tC: 90, kgPerM3: 965.30959, mPerS: 1550.4517 },
  { tC: 95, kgPerM3: 961.88792, mPerS: 1547.2001 },
  { tC: 99, kgPerM3: 959.06606, mPerS: 1544.0271 },
] as const;

/** Kell (1975), J. Chem. Eng. Data 20, 97–105, as printed for temperatures of IPTS-68, kg/m³: evaluated from its formula. */
export const KELL_AS_PRINTED = [
  { t68C: 0.01, kgPerM3: 999.8402 },
  { t68C: 5, kgPerM3: 999.9638 },
  { t68C: 10, kgPerM3: 999.6996 },
  { t68C: 15, kgPerM3: 999.0996 },
  { t68C: 20, kgPerM3: 998.2041 },
  { t68C: 25, kgPerM3: 997.0449 },
  { t68C: 30, kgPerM3: 995.6473 },
  { t68C: 40, kgPerM3: 992.2158 },
  { t68C: 50, kgPerM3: 988.0363 },
  { t68C: 60, kgPerM3: 983.1989 },
  { t68C: 70, kgPerM3: 977.7696 },
  { t68C: 80, kgPerM3: 971.7978 },
  { t68C: 90, kgPerM3: 965.3201 },
  { t68C: 95, kgPerM3: 961.9004 },
  { t68C: 99, kgPerM3: 959.0803 },
] as const;

/** Marczak (1997), J. Acoust. Soc. Am. 102, 2776–2779, m/s: evaluated from its formula. */
export const MARCZAK_SPEEDS = [
  { tC: 0, mPerS: 1402.385 },
  { tC: 5, mPerS: 1426.17 },
  { tC: 10, mPerS: 1447.289 },
  { tC: 15, mPerS: 1465.96 },
  { tC: 20, mPerS: 1482.38 },
  { tC: 25, mPerS: 1496.728 },
  { tC: 30, mPerS: 1509.167 },
  { tC: 40, mPerS: 1528.894 },
  { tC: 50, mPerS: 1542.565 },
  { tC: 60, mPerS: 1550.986 },
  { tC: 70, mPerS: 1554.793 },
  { tC: 74, mPerS: 1555.14 },
  { tC: 80, mPerS: 1554.486 },
  { tC: 90, mPerS: 1550.466 },
  { tC: 95, mPerS: 1547.168 },
] as const;

/** Kaye and Laby, Tables of Physical and Chemical Constants, as reprinted in an instrument manual. */
export const KAYE_AND_LABY_WATER = { tC: 20, mPerS: 1482.3 } as const;

/** Greenspan and Tschiegg (1957), J. Res. NBS 59, 249: whole metres per second, high by about 0.3 m/s. */
export const GREENSPAN_AND_TSCHIEGG = [
  { tC: 1, mPerS: 1408 },
  { tC: 2, mPerS: 1413 },
  { tC: 3, mPerS: 1417 },
  { tC: 4, mPerS: 1422 },
  { tC: 5, mPerS: 1427 },
  { tC: 6, mPerS: 1431 },
  { tC: 7, mPerS: 1435 },
  { tC: 8, mPerS: 1439 },
  { tC: 9, mPerS: 1444 },
  { tC: 10, mPerS: 1448 },
  { tC: 15, mPerS: 1466 },
  { tC: 20, mPerS: 1483 },
  { tC: 25, mPerS: 1497 },
  { tC: 30, mPerS: 1509 },
  { tC: 35, mPerS: 1520 },
  { tC: 40, mPerS: 1529 },
  { tC: 45, mPerS: 1537 },
  { tC: 50, mPerS: 1543 },
] as const;

/** Where sound is fastest in water, and its slope at 20 °C, from Marczak (1997). */
export const FASTEST_SOUND = { tC: 74.17, mPerS: 1555.14 } as const;
export const SOUND_SLOPE_AT_20C = 3.0711;

/** IAPWS R7-97(2012), Table 35: vapour pressure, as printed. */
export const IF97_TABLE_35 = [
  { kelvin: 300, megapascal: 0.00353658941 },
  { kelvin: 500, megapascal: 2.63889776 },
  { kelvin: 600, megapascal: 12.3443146 },
] as const;

/** IAPWS R7-97(2012), Table 36: boiling temperature, as printed. */
export const IF97_TABLE_36 = [
  { megapascal: 0.1, kelvin: 372.755919 },
  { megapascal: 1, kelvin: 453.035632 },
  { megapascal: 10, kelvin: 584.149488 },
] as const;

/** Boiling points by IF97 region 4, computed with python3-iapws 1.5.2, °C to five digits after the point. */
export const BOILING_POINTS = [
  { kPa: 101.325, tC: 99.9743 },
  { kPa: 100, tC: 99.60592 },
  { kPa: 95, tC: 98.17833 },
  { kPa: 90, tC: 96.68704 },
  { kPa: 89.8746, tC: 96.64876 },
  { kPa: 85, tC: 95.12533 },
  { kPa: 80, tC: 93.48535 },
  { kPa: 79.4952, tC: 93.31508 },
  { kPa: 75, tC: 91.75779 },
  { kPa: 70, tC: 89.93151 },
  { kPa: 60, tC: 85.92578 },
  { kPa: 54.0199, tC: 83.25494 },
  { kPa: 50, tC: 81.31674 },
] as const;

/** The normal boiling point on ITS-90 (Preston-Thomas 1990): not 100 °C. */
export const NORMAL_BOILING_C = 99.974;

/** ISO 2533:1975, computed from the constants of the standard, Pa. */
export const STANDARD_PRESSURES = [
  { geopotentialM: -500, pascal: 107477.5 },
  { geopotentialM: 0, pascal: 101325.0 },
  { geopotentialM: 500, pascal: 95460.8 },
  { geopotentialM: 1000, pascal: 89874.6 },
  { geopotentialM: 1500, pascal: 84556.0 },
  { geopotentialM: 2000, pascal: 79495.2 },
  { geopotentialM: 2500, pascal: 74682.5 },
  { geopotentialM: 3000, pascal: 70108.5 },
  { geopotentialM: 4000, pascal: 61640.2 },
  { geopotentialM: 5000, pascal: 54019.9 },
] as const;

/** The same by altitude as maps give it: 1000 m geometric is not 1000 m geopotential. */
export const STANDARD_PRESSURES_GEOMETRIC = [
  { geometricM: 500, pascal: 95461.3 },
  { geometricM: 1000, pascal: 89876.3 },
  { geometricM: 1500, pascal: 84559.7 },
  { geometricM: 2000, pascal: 79501.4 },
  { geometricM: 3000, pascal: 70121.1 },
  { geometricM: 4000, pascal: 61660.4 },
  { geometricM: 5000, pascal: 54048.3 },
] as const;
