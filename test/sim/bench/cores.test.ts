/** Work on several processes: every order once, and a process that dies fails the whole with its words. */
import { expect, test } from 'vitest'
import { onCores } from '../../../sim/bench/cores.ts'
import { InputError } from '../../../sim/bench/inputError.ts'
import { seedsOfShard, shardFrom, sizeOfShard } from '../../../sim/bench/shards.ts'
import { type Setup, start } from './coresWork.ts'

async function answers(setup: Setup, jobs: number): Promise<number[]> {
  const found: number[] = []
  const orders = Array.from({ length: 9 }, (_, i) => i)
  const worker = new URL('./coresWorker.ts', import.meta.url)
  await onCores<Setup, number, number>({ worker, setup, orders, start, take: answer => found.push(answer) }, jobs)
  return found.sort((a, b) => a - b)
}

test('one process and three give the same answers, each order once', async () => {
  const alone = await answers({ factor: 3 }, 1)
  expect(alone).toEqual([0, 3, 6, 9, 12, 15, 18, 21, 24])
  expect(await answers({ factor: 3 }, 3)).toEqual(alone)
})

test('a process that dies fails the work, in its own words', async () => {
  await expect(answers({ factor: 1, dieOf: 5 }, 2)).rejects.toThrow('died of 5')
  await expect(answers({ factor: 1, dieOf: 5 }, 1)).rejects.toThrow('died of 5')
})

test('parts have every seed once, also over the end of all seeds', () => {
  const all = [1, 2, 3, 4].flatMap(shard => [...seedsOfShard(4_294_967_293, 10, { shard, of: 4 }, 2)].flat())
  expect(all.sort((a, b) => a - b)).toEqual([0, 1, 2, 3, 4, 5, 6, 4_294_967_293, 4_294_967_294, 4_294_967_295])
  expect([1, 2, 3, 4].map(shard => sizeOfShard(10, { shard, of: 4 }))).toEqual([3, 3, 2, 2])
  expect(shardFrom('2/4')).toEqual({ shard: 2, of: 4 })
  for (const text of ['0/4', '5/4', '1', '1/0', 'a/b']) expect(() => shardFrom(text)).toThrow(InputError)
})
