/** One process of a population: takes seeds, gives counts, ends when it is let go. */
import { serve } from '../cores.ts'
import { startWork } from './work.ts'

serve(startWork)
