/** Just what the tests use of odex 2: its own types are sources that do not compile under strict settings. */
export class Solver {
  constructor(dimension: number)
  absoluteTolerance: number | number[]
  relativeTolerance: number | number[]
  denseOutput: boolean
  solve(
    derivative: (x: number, y: number[]) => number[],
    x0: number,
    y0: number[],
    xEnd: number,
  ): { y: number[]; outcome: number }
}
