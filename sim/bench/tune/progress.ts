/** How far a tuning is, on a terminal: one line on stderr that is written over, with the time left. Nothing elsewhere. */
import { PROOF_EVENINGS, SEARCH_EVENINGS } from './work.ts'

/** So many programmes or so are proved at the end: for the time left only. */
const PROVED_USUALLY = 90

export interface TuneProgress {
  done(programmes: number, stage: 'search' | 'proof'): void
  end(): void
}

export function tuneProgress(tries: number, screen: NodeJS.WriteStream = process.stderr): TuneProgress {
  if (screen.isTTY !== true || process.env['NO_COLOR'] !== undefined) return { done() {}, end() {} }
  const began = performance.now()
  const all = tries * SEARCH_EVENINGS + PROVED_USUALLY * PROOF_EVENINGS
  let evenings = 0
  let tried = 0
  let shown = false
  return {
    done(programmes, stage) {
      evenings += programmes * (stage === 'search' ? SEARCH_EVENINGS : PROOF_EVENINGS)
      if (stage === 'search') tried += programmes
      const left = Math.max(0, ((performance.now() - began) / 1000 / evenings) * (all - evenings))
      const search =
        tried > tries
          ? `${tried} programmes tried, as none keeps to all wishes`
          : `${tried} of ${tries} programmes tried`
      const what = stage === 'search' ? search : 'the best ones on other evenings'
      screen.write(`\r\u001b[K${what}, ${Math.ceil(left)} s left`)
      shown = true
    },
    end() {
      if (shown) screen.write('\r\u001b[K')
      shown = false
    },
  }
}
