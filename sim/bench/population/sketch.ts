/**
 * A distribution in constant memory: counts in bins of fixed edges, a quarter of a percent apart in the logarithm, for
 * values of either sign; sums and ends exact. Two sketches add up to the same bytes whichever came first and however the
 * values were shared out, because everything in them is a whole number or an end.
 *
 * A value that is no number is not counted: whoever counts sessions does so apart.
 */

/** Values nearer to 0 than this count as 0: below anything that is measured here. */
const LEAST = 1e-5
/** Edges of neighbouring bins, so that a quantile is within half of it: 0.25 %. */
const RATIO = 1.005
const LN_RATIO = Math.log(RATIO)
/** Bins on each side: from 1e-5 to 1e6. What is beyond goes into the last. */
const BINS_A_SIDE = Math.ceil(Math.log(1e11) / LN_RATIO)
/** Sums are kept in whole quanta, so that no order of adding matters: 2^53 of them are ten million evenings of 900 each. */
const QUANTUM = 1e-6

export interface Sketch {
  count: number
  /** In quanta. */
  sum: number
  sumOfSizes: number
  least: number
  most: number
  bins: Map<number, number>
}

/** What `--json` carries: bins as `place:count` in rising order. */
export interface SketchRecord {
  count: number
  sum: number
  sumOfSizes: number
  least: number | null
  most: number | null
  bins: string
}

export function createSketch(): Sketch {
  return { count: 0, sum: 0, sumOfSizes: 0, least: Infinity, most: -Infinity, bins: new Map() }
}

/** 0 for nothing, else signed: 1 is the first bin above LEAST. */
function binOf(value: number): number {
  const size = value < 0 ? -value : value
  if (size < LEAST) return 0
  const bin = Math.min(BINS_A_SIDE, 1 + Math.floor(Math.log(size / LEAST) / LN_RATIO))
  return value < 0 ? -bin : bin
}

/** The middle of a bin, in the logarithm. */
function middleOf(bin: number): number {
  if (bin === 0) return 0
  const size = LEAST * RATIO ** ((bin < 0 ? -bin : bin) - 0.5)
  return bin < 0 ? -size : size
}

export function addValue(sketch: Sketch, value: number): void {
  if (isNaN(value)) return
  const quanta = Math.round(value / QUANTUM)
  sketch.count++
  sketch.sum += quanta
  sketch.sumOfSizes += quanta < 0 ? -quanta : quanta
  if (value < sketch.least) sketch.least = value
  if (value > sketch.most) sketch.most = value
  const bin = binOf(value)
  sketch.bins.set(bin, (sketch.bins.get(bin) ?? 0) + 1)
}

export function addSketch(sketch: Sketch, other: Sketch): void {
  sketch.count += other.count
  sketch.sum += other.sum
  sketch.sumOfSizes += other.sumOfSizes
  sketch.least = Math.min(sketch.least, other.least)
  sketch.most = Math.max(sketch.most, other.most)
  for (const [bin, count] of other.bins) sketch.bins.set(bin, (sketch.bins.get(bin) ?? 0) + count)
}

/** The same without signs: of the sizes. Its upper end is exact; the lower is 0 where values of both signs are. */
export function sizesOf(sketch: Sketch): Sketch {
  const bins = new Map<number, number>()
  for (const [bin, count] of sketch.bins) {
    const size = bin < 0 ? -bin : bin
    bins.set(size, (bins.get(size) ?? 0) + count)
  }
  const { least, most, count, sumOfSizes } = sketch
  const ends = [Math.abs(least), Math.abs(most)]
  const nearest = least < 0 && most > 0 ? 0 : Math.min(...ends)
  return { count, sum: sumOfSizes, sumOfSizes, least: nearest, most: Math.max(...ends), bins }
}

/** The value of rank 1 to `count`, within 0.25 %; NaN where there is none. */
export function valueAtRank(sketch: Sketch, rank: number): number {
  if (!(rank >= 1 && rank <= sketch.count)) return NaN
  let seen = 0
  for (const bin of [...sketch.bins.keys()].sort((a, b) => a - b)) {
    seen += sketch.bins.get(bin) as number
    if (seen >= rank) return Math.min(sketch.most, Math.max(sketch.least, middleOf(bin)))
  }
  return NaN
}

/** The least value that `part` (0 to 1) of all values do not pass; NaN of nothing. */
export function quantile(sketch: Sketch, part: number): number {
  return valueAtRank(sketch, Math.max(1, Math.ceil(part * sketch.count)))
}

export function meanOf(sketch: Sketch): number {
  return (sketch.sum * QUANTUM) / sketch.count
}

/** Standard deviation of one value, from the bins: within half a percent. */
export function deviationOf(sketch: Sketch): number {
  const mean = meanOf(sketch)
  let squares = 0
  for (const [bin, count] of sketch.bins) squares += count * (middleOf(bin) - mean) ** 2
  return Math.sqrt(squares / (sketch.count - 1))
}

/** How many values lie in each of `edges.length − 1` steps; the first and last take what lies beyond. */
export function countsBetween(sketch: Sketch, edges: number[]): number[] {
  const counts: number[] = new Array(edges.length - 1).fill(0)
  for (const [bin, count] of sketch.bins) {
    const value = middleOf(bin)
    let step = 0
    while (step < counts.length - 1 && value >= (edges[step + 1] as number)) step++
    counts[step] = (counts[step] as number) + count
  }
  return counts
}

export function sketchRecord(sketch: Sketch): SketchRecord {
  const places = [...sketch.bins.keys()].sort((a, b) => a - b)
  return {
    count: sketch.count,
    sum: sketch.sum,
    sumOfSizes: sketch.sumOfSizes,
    least: sketch.count > 0 ? sketch.least : null,
    most: sketch.count > 0 ? sketch.most : null,
    bins: places.map(bin => `${bin}:${sketch.bins.get(bin)}`).join(' '),
  }
}

/** Back from what `sketchRecord` gave. */
export function sketchFrom(record: SketchRecord): Sketch {
  const bins = new Map<number, number>()
  for (const pair of record.bins.split(' ')) {
    const [bin, count] = pair.split(':').map(Number)
    if (count !== undefined) bins.set(bin as number, count)
  }
  const { count, sum, sumOfSizes } = record
  return { count, sum, sumOfSizes, least: record.least ?? Infinity, most: record.most ?? -Infinity, bins }
}
