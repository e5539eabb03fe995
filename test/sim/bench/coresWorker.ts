/** One process of `cores.test.ts`. */
import { serve } from '../../../sim/bench/cores.ts'
import { start } from './coresWork.ts'

serve(start)
