/**
 * A campaign on all cores: child processes that each take a few seeds at a time. A child that dies fails the campaign
 * with its words; the order of the results does not depend on how many there are.
 */
import { fork } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import { type CampaignResult, mergeResults, runSeeds } from './campaign.ts'

/** So many seeds are handed out at a time: half a second of work or so. */
const SEEDS_AT_A_TIME = 10

export interface WorkOrder {
  seeds: number[]
  only?: string[]
}

/** Runs these seeds on so many processes; in this one when it is one. `done` hears how many sessions are over. */
export async function runOnCores(
  seeds: number[],
  only: string[] | undefined,
  jobs: number,
  done: (sessions: number, broken: number) => void,
): Promise<CampaignResult> {
  const orders: WorkOrder[] = []
  for (let i = 0; i < seeds.length; i += SEEDS_AT_A_TIME) {
    orders.push({ seeds: seeds.slice(i, i + SEEDS_AT_A_TIME), ...(only && { only }) })
  }
  const results: CampaignResult[] = []
  let sessions = 0
  let broken = 0
  const take = (result: CampaignResult): void => {
    results.push(result)
    sessions += result.sessions
    broken += result.broken.length
    done(sessions, broken)
  }
  if (jobs <= 1 || orders.length <= 1) {
    for (const order of orders) take(runSeeds(order.seeds, order.only))
  } else {
    let next = 0
    const nextOrder = (): WorkOrder | undefined => orders[next++]
    const workers = Array.from({ length: Math.min(jobs, orders.length) }, () => runWorker(nextOrder, take))
    await Promise.all(workers)
  }
  return mergeResults(results)
}

/** One child, fed with orders until there are none. */
function runWorker(nextOrder: () => WorkOrder | undefined, take: (result: CampaignResult) => void): Promise<void> {
  return new Promise((resolve, reject) => {
    const child = fork(fileURLToPath(new URL('./worker.ts', import.meta.url)), {
      execArgv: ['--import', import.meta.resolve('tsx')],
      stdio: ['ignore', 'ignore', 'pipe', 'ipc'],
    })
    let words = ''
    child.stderr?.on('data', (text: Buffer) => {
      words += text.toString()
    })
    const feed = (): void => {
      const order = nextOrder()
      if (order === undefined) child.disconnect()
      else child.send(order)
    }
    child.on('message', message => {
      take(message as CampaignResult)
      feed()
    })
    child.on('error', reject)
    child.on('exit', code => {
      if (code === 0) resolve()
      else reject(new Error(`a worker of the campaign ended with ${code}: ${words}`))
    })
    feed()
  })
}
