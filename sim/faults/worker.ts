/** One process of a campaign: takes seeds, gives results, ends when it is let go. */
import { serve } from '../bench/cores.ts'
import { startSeeds } from './campaign.ts'

serve(startSeeds)
