/**
 * Tries programmes on all cores: threads that each take a few at a time. Where figures go is fixed by what they are of,
 * so that the result does not depend on how many threads there are. A thread that dies fails the tuning with its words.
 */
import { Worker } from 'node:worker_threads'
import type { Figures } from './figures.ts'
import type { Evaluate } from './search.ts'
import type { TuneSetup } from './setup.ts'
import { doWork, type WorkDone, type WorkOrder } from './work.ts'

/** So many are handed out at a time: a tenth of a second of work or so. */
export const PROGRAMMES_AT_A_TIME = 10

export interface Pool {
  evaluate: Evaluate
  close(): void
}

/** With one job the work is done in this thread. `done` hears how many programmes of a stage have their figures. */
export function openPool(
  setup: TuneSetup,
  jobs: number,
  done: (programmes: number, stage: 'search' | 'proof') => void,
): Pool {
  const workers = jobs <= 1 ? [] : Array.from({ length: jobs }, () => openWorker(setup))
  return {
    async evaluate(agitations, stage) {
      const orders: WorkOrder[] = []
      for (let i = 0; i < agitations.length; i += PROGRAMMES_AT_A_TIME) {
        orders.push({ place: i, stage, agitations: agitations.slice(i, i + PROGRAMMES_AT_A_TIME) })
      }
      const figures: Figures[] = new Array(agitations.length)
      const take = (result: WorkDone): void => {
        result.figures.forEach((one, i) => {
          figures[result.place + i] = one
        })
        done(result.figures.length, stage)
      }
      if (workers.length === 0) {
        for (const order of orders) {
          take(doWork(setup, order))
          // Lets a progress line out, and a Ctrl-C in.
          await new Promise(resolve => setImmediate(resolve))
        }
      } else await share(orders, workers, take)
      return figures
    },
    close() {
      for (const worker of workers) void worker.terminate()
    },
  }
}

/** A thread does not take over how its parent reads TypeScript: it is told first. */
function openWorker(setup: TuneSetup): Worker {
  const [reader, file] = [import.meta.resolve('tsx/esm/api'), new URL('./worker.ts', import.meta.url).href]
  const start = `import(${JSON.stringify(reader)}).then(({ register }) => { register(); return import(${JSON.stringify(file)}) })`
  return new Worker(start, { eval: true, workerData: setup })
}

/** Each worker takes the next order until there are none. */
async function share(orders: WorkOrder[], workers: Worker[], take: (result: WorkDone) => void): Promise<void> {
  let next = 0
  const feed = async (worker: Worker): Promise<void> => {
    for (;;) {
      const order = orders[next++]
      if (order === undefined) return
      take(await ask(worker, order))
    }
  }
  await Promise.all(workers.map(feed))
}

function ask(worker: Worker, order: WorkOrder): Promise<WorkDone> {
  return new Promise((resolve, reject) => {
    const ended = (code: number): void => reject(new Error(`a thread of the tuning ended with ${code}`))
    worker.once('error', reject)
    worker.once('exit', ended)
    worker.once('message', (result: WorkDone) => {
      worker.off('error', reject)
      worker.off('exit', ended)
      resolve(result)
    })
    worker.postMessage(order)
  })
}
