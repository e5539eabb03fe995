/** One process of a sensitivity study: takes seeds of rows, gives their outputs, ends when it is let go. */
import { serve } from '../cores.ts'
import { startRows } from './sensitivity.ts'

serve(startRows)
