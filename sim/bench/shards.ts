/** Long work shared out among machines: which part is whose. */
import { InputError } from './inputError.ts'

/** The `shard`-th of `of` parts. */
export interface Shard {
  shard: number
  of: number
}

const MOST_SHARDS = 100_000
/** Seeds are 32 bits: after the last comes the first. */
const SEEDS = 4_294_967_296

/** Reads `I/N` of `--shard`. Throws `InputError`. */
export function shardFrom(text: string): Shard {
  const match = /^(\d+)\/(\d+)$/.exec(text)
  const shard = Number(match?.[1])
  const of = Number(match?.[2])
  if (!(shard >= 1 && of >= shard && of <= MOST_SHARDS)) {
    throw new InputError([`--shard: ${text}; allowed: I/N, from 1/N to N/N`])
  }
  return { shard, of }
}

/** How many of `all` a part has: every `of`-th, beginning with the `shard`-th. */
export function sizeOfShard(all: number, { shard, of }: Shard): number {
  return Math.max(0, Math.ceil((all - shard + 1) / of))
}

/** The seeds of a part, from `seed` on, so many at a time. */
export function* seedsOfShard(seed: number, all: number, { shard, of }: Shard, atATime: number): Generator<number[]> {
  let seeds: number[] = []
  for (let i = shard - 1; i < all; i += of) {
    seeds.push((seed + i) % SEEDS)
    if (seeds.length < atATime) continue
    yield seeds
    seeds = []
  }
  if (seeds.length > 0) yield seeds
}
