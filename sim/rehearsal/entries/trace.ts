/** Entry of the rehearsal that prints its trace: one session from its beginning to its end, on whatever engine runs it. */
import { rehearse } from '../session.ts'
import { standardRehearsal } from '../standard.ts'

/** Every engine it is run on has this, or is given it. */
declare const print: (line: string) => void

rehearse(standardRehearsal({ hand: 'simulated' }), print)
