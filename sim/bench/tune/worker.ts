/** One thread of a tuning: gets its setup once, then orders, and ends when it is let go. */
import { parentPort, workerData } from 'node:worker_threads'
import type { TuneSetup } from './setup.ts'
import { doWork, type WorkOrder } from './work.ts'

parentPort?.on('message', (order: WorkOrder) => {
  parentPort?.postMessage(doWork(workerData as TuneSetup, order))
})
