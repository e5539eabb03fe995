/**
 * Who has the port: the board's prompt at rest, the firmware in a session and while the motor turns for a test.
 *
 * The escape asks for the prompt back. It is given as soon as nothing is about to turn and the motor is off, within a
 * minute; a prompt can break a running tick off, so the firmware has the port again before the motor turns again.
 */
import type { Base } from '../base.ts'
import { isAtRest } from '../planning.ts'
import type { Console } from './consoleState.ts'

/** How long the wish stands. */
export const PROMPT_SECONDS = 60

/** Whether the firmware has to have the port. */
export function isUnderway(base: Base): boolean {
  return base.turnTest.stage === 'running' || !isAtRest(base)
}

/** The escape, or the method `prompt`. */
export function askPrompt(line: Console, base: Base): unknown {
  if (!isUnderway(base)) return { seconds: 0 }
  line.promptUntilSeconds = base.estimates.nowSeconds + PROMPT_SECONDS
  return { seconds: PROMPT_SECONDS }
}

/** Gives the port to whom it belongs now. True in the tick in which an escape is granted. */
export function settlePort(line: Console, base: Base): boolean {
  const port = base.board.line
  const stillsMotor = base.session.want !== 'turn' && base.turnTest.stage !== 'running'
  const isOff = stillsMotor && base.agitation.view.duty === 0
  const underway = isUnderway(base)
  let granted = false
  if (!isNaN(line.promptUntilSeconds)) {
    granted = isOff && underway
    if (granted || !underway || base.estimates.nowSeconds > line.promptUntilSeconds) line.promptUntilSeconds = NaN
  }
  line.prompting = (line.prompting || granted) && stillsMotor && underway
  if (underway && !line.prompting) port.take()
  else port.giveBack()
  return granted
}
