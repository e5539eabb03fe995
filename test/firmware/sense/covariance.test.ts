/**
 * The covariance written out element by element, against the same steps with plain 8 × 8 matrices: F P Fᵀ and the
 * textbook update.
 */
import { expect, test } from 'vitest'
import {
  addShock,
  bathLikeBody,
  COVARIANCE_SIZE,
  exchangeHeat,
  followAndCount,
  isolate,
  mixPour,
  readProbe,
} from '../../../firmware/sense/covariance.ts'
import { createRandom, gaussian } from '../../../sim/plant/random.ts'

type Matrix = number[][]
const N = 8
const [PROBE, BATH, PROGRESS, BODY, LAG, COND, HEAT, POUR] = [0, 1, 2, 3, 4, 5, 6, 7]

function identity(): Matrix {
  return Array.from({ length: N }, (_, i) => Array.from({ length: N }, (_, j) => (i === j ? 1 : 0)))
}

function multiply(a: Matrix, b: Matrix): Matrix {
  return a.map(row => row.map((_, j) => row.reduce((sum, value, k) => sum + value * b[k][j], 0)))
}

function transpose(a: Matrix): Matrix {
  return a.map((_, i) => a.map(row => row[i]))
}

function congruent(f: Matrix, p: Matrix): Matrix {
  return multiply(multiply(f, p), transpose(f))
}

function pack(p: Matrix): Float64Array {
  const packed = new Float64Array(COVARIANCE_SIZE)
  for (let i = 0; i < N; i++) for (let j = 0; j <= i; j++) packed[(i * (i + 1)) / 2 + j] = p[i][j]
  return packed
}

/** Random and positive definite. */
function someCovariance(seed: number): Matrix {
  const random = createRandom(seed, 1)
  const root = identity().map(row => row.map(value => value + 0.5 * gaussian(random)))
  return multiply(root, transpose(root))
}

function expectSame(packed: Float64Array, p: Matrix): void {
  const wanted = pack(p)
  for (let i = 0; i < COVARIANCE_SIZE; i++) expect(packed[i], `element ${i}`).toBeCloseTo(wanted[i], 10)
}

for (let seed = 1; seed <= 5; seed++) {
  test(`mixing in what is poured, covariance ${seed}`, () => {
    const p = someCovariance(seed)
    const packed = pack(p)
    mixPour(packed, 0.3)
    const f = identity()
    f[BATH][BATH] = 0.7
    f[BATH][POUR] = 0.3
    expectSame(packed, congruent(f, p))
  })

  test(`exchange of heat, covariance ${seed}`, () => {
    const p = someCovariance(seed)
    const packed = pack(p)
    exchangeHeat(packed, 0.05, 0.2, 0.4, 0.9, 0.7, true)
    const f = identity()
    f[BATH][BATH] = 0.95
    f[BATH][BODY] = 0.05
    f[BATH][COND] = -0.4
    f[BODY][BODY] = 0.8
    f[BODY][BATH] = 0.2
    f[BODY][COND] = 0.9
    f[BODY][HEAT] = -0.7
    expectSame(packed, congruent(f, p))
  })

  test(`the probe following and progress being counted, covariance ${seed}`, () => {
    const p = someCovariance(seed)
    const packed = pack(p)
    followAndCount(packed, 0.15, 1.7, 0.02, true)
    const follow = identity()
    follow[PROBE][PROBE] = 0.85
    follow[PROBE][BATH] = 0.15
    follow[PROBE][LAG] = -1.7
    const count = identity()
    count[PROGRESS][BATH] = 0.02
    expectSame(packed, congruent(multiply(count, follow), p))
  })

  test(`a reading, covariance ${seed}`, () => {
    const p = someCovariance(seed)
    const packed = pack(p)
    const gain = 1 / (p[PROBE][PROBE] + 0.3)
    readProbe(packed, gain, true, true)
    expectSame(
      packed,
      p.map((row, i) => row.map((value, j) => value - p[i][PROBE] * p[PROBE][j] * gain)),
    )
  })

  test(`a reading from which lag, conductance and heat are not to learn, covariance ${seed}`, () => {
    const p = someCovariance(seed)
    const packed = pack(p)
    const gain = 1 / (p[PROBE][PROBE] + 0.3)
    readProbe(packed, gain, false, true)
    const kept = (i: number): boolean => i >= LAG && i <= HEAT
    expectSame(
      packed,
      p.map((row, i) => row.map((value, j) => (kept(i) && kept(j) ? value : value - p[i][PROBE] * p[PROBE][j] * gain))),
    )
  })

  test(`a shock, a row set apart and an empty tank, covariance ${seed}`, () => {
    const p = someCovariance(seed)
    const packed = pack(p)
    addShock(packed, 4, 0.2, 0.01)
    const share = [0.2, 1, 0.01, 0, 0, 0, 0, 0]
    expectSame(
      packed,
      p.map((row, i) => row.map((value, j) => value + 4 * share[i] * share[j])),
    )

    const apart = pack(p)
    isolate(apart, BODY, 0.25)
    expectSame(
      apart,
      p.map((row, i) => row.map((v, j) => (i === BODY || j === BODY ? (i === j ? 0.25 : 0) : v))),
    )

    const empty = pack(p)
    bathLikeBody(empty)
    const f = identity()
    f[BATH][BATH] = 0
    f[BATH][BODY] = 1
    expectSame(empty, congruent(f, p))
  })
}
