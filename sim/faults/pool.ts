/** A campaign on all cores. The order of its results does not depend on how many processes there are. */
import { onCores } from '../bench/cores.ts'
import { type CampaignResult, mergeResults, startSeeds } from './campaign.ts'

/** So many seeds are handed out at a time: half a second of work or so. */
const SEEDS_AT_A_TIME = 10

/** Runs these seeds on so many processes; in this one when it is one. `done` hears how many sessions are over. */
export async function runOnCores(
  seeds: number[],
  only: string[] | undefined,
  jobs: number,
  done: (sessions: number, broken: number) => void,
): Promise<CampaignResult> {
  const orders: number[][] = []
  for (let i = 0; i < seeds.length; i += SEEDS_AT_A_TIME) orders.push(seeds.slice(i, i + SEEDS_AT_A_TIME))
  const results: CampaignResult[] = []
  let sessions = 0
  let broken = 0
  const take = (result: CampaignResult): void => {
    results.push(result)
    sessions += result.sessions
    broken += result.broken.length
    done(sessions, broken)
  }
  const setup = { ...(only && { only }) }
  const worker = new URL('./worker.ts', import.meta.url)
  await onCores({ worker, setup, orders, start: startSeeds, take }, Math.min(jobs, orders.length))
  return mergeResults(results)
}
