/** One process of a campaign: takes seeds, gives results, ends when it is let go. */
import { runSeeds } from './campaign.ts'
import type { WorkOrder } from './pool.ts'

process.on('message', message => {
  const { seeds, only } = message as WorkOrder
  process.send?.(runSeeds(seeds, only))
})
