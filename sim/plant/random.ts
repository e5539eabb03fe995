/**
 * The only chance in the project: one seed decides everything. xoshiro128** (Blackman and Vigna 2018) seeded by
 * splitmix32, so that neighbouring seeds give unrelated streams. No call takes more than 32-bit integer arithmetic, so
 * that it gives the same numbers on every engine.
 */
export interface Random {
  s0: number
  s1: number
  s2: number
  s3: number
  /** The second normal deviate of a pair, or NaN. */
  spare: number
}

function splitmix(state: number): number {
  let z = (state + 0x9e3779b9) | 0
  z = imul(z ^ (z >>> 16), 0x21f0aaad)
  z = imul(z ^ (z >>> 15), 0x735a2d97)
  return (z ^ (z >>> 15)) >>> 0
}

/** 32-bit product without Math.imul, which the board's engine lacks. */
function imul(a: number, b: number): number {
  return ((a & 0xffff) * b + ((((a >>> 16) * b) & 0xffff) << 16)) | 0
}

/** A stream for `seed`; `stream` separates independent uses, so that adding one does not shift the others. */
export function createRandom(seed: number, stream: number): Random {
  let state = (splitmix(seed >>> 0) ^ splitmix((stream * 0x632be5ab) >>> 0)) >>> 0
  const next = (): number => {
    state = (state + 0x9e3779b9) >>> 0
    return splitmix(state)
  }
  return { s0: next(), s1: next(), s2: next(), s3: next() | 1, spare: NaN }
}

function rotl(x: number, k: number): number {
  return (x << k) | (x >>> (32 - k))
}

/** Uniform in [0, 1), with 32 bits. */
export function uniform(r: Random): number {
  const t5 = (r.s1 * 5) | 0
  const result = (rotl(t5, 7) * 9) >>> 0
  const t = r.s1 << 9
  r.s2 ^= r.s0
  r.s3 ^= r.s1
  r.s1 ^= r.s2
  r.s0 ^= r.s3
  r.s2 ^= t
  r.s3 = rotl(r.s3, 11)
  return result / 4294967296
}

/** Uniform in [low, high). */
export function between(r: Random, low: number, high: number): number {
  return low + (high - low) * uniform(r)
}

/** Normal with mean 0 and sigma 1 (polar method of Marsaglia). */
export function gaussian(r: Random): number {
  if (!isNaN(r.spare)) {
    const spare = r.spare
    r.spare = NaN
    return spare
  }
  for (;;) {
    const u = 2 * uniform(r) - 1
    const v = 2 * uniform(r) - 1
    const s = u * u + v * v
    if (s > 0 && s < 1) {
      const factor = Math.sqrt((-2 * Math.log(s)) / s)
      r.spare = v * factor
      return u * factor
    }
  }
}
