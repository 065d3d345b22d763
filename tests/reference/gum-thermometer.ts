/** JCGM 100:2008 (GUM), H.3, Table H.6 and results; figures with more digits were worked out again from the table. */
export const THERMOMETER = {
  readingsC: [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511],
  correctionsK: [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16],
  /** Printed: −0.1712 °C. */
  y1: -0.17120379013134995,
  /** Printed: 0.0029 °C. */
  sY1: 0.0028775978351599503,
  /** Printed: 0.00218. */
  y2: 0.002182697739887277,
  /** Printed: 0.00067. */
  sY2: 0.0006679387732278308,
  /** Printed: 0.0035 °C. */
  s: 0.0034975639635052803,
  /** Printed: −0.1494 °C at 30 °C. */
  at30: -0.1493768127324772,
  /** Printed: 0.0041 °C. */
  uAt30: 0.004138595752854942,
  degreesOfFreedom: 9,
} as const;
