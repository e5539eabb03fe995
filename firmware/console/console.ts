/**
 * The console: JSON-RPC with a laptop over the serial line, at the end of each tick.
 *
 * In most ticks nothing has come and nothing is due, and it is not called. At most one request is carried out in a
 * tick. Nothing that comes down the line stops a session: whatever goes wrong in here stays in here and is counted.
 */
import type { Base } from '../base.ts'
import { applyCalibration, CALIBRATION_FILE, readCalibration } from './calibration.ts'
import type { Console, ConsoleOptions } from './consoleState.ts'
import { nextFrame, REST_CHARACTERS, SESSION_CHARACTERS } from './frames.ts'
import { PLANNED_FILE, planStored } from './planned.ts'
import { askPrompt, isUnderway, settlePort } from './prompt.ts'
import { answer, complain, notify } from './rpc.ts'
import { statusOf } from './status.ts'

export { type Console, type ConsoleOptions, createConsole, type Identity } from './consoleState.ts'

/** For a base whose maker has not said what it is: nothing is put on it. */
export const UNNAMED: ConsoleOptions = {
  identity: { version: '', wiring: '', serial: 'unnamed', kind: 'firmware', slot: '', good: () => false },
}

/** At the start: what was planned and how the probe was calibrated, as the files say. A damaged one is left out and named. */
export function recallStored(line: Console, base: Base): void {
  const files = base.board.files
  try {
    if (files.names().indexOf(CALIBRATION_FILE) >= 0) {
      line.calibration = readCalibration(files, base.file)
      if (line.calibration === undefined) line.ignored.push(CALIBRATION_FILE)
      else applyCalibration(line.calibration, base)
    }
    if (!planStored(line, base)) line.ignored.push(PLANNED_FILE)
  } catch (_) {
    line.mishaps++
  }
}

/** With what `came` down the line, after events, and while it is `busy` or from `dueSeconds` on. Else there is nothing to do. */
export function stepConsole(line: Console, base: Base, came: string | undefined): void {
  try {
    listen(line, base, came)
    if (base.estimates.nowSeconds >= line.dueSeconds) report(line, base)
    if (settlePort(line, base)) notify(base, 'prompt', { granted: true })
    line.state = base.session.state
    line.busy =
      line.frames.held !== '' ||
      base.turnTest.stage !== 'none' ||
      line.prompting ||
      line.promptUntilSeconds >= base.estimates.nowSeconds
  } catch (_) {
    line.mishaps++
    line.busy = true
  }
}

function listen(line: Console, base: Base, came: string | undefined): void {
  const frames = line.frames
  const underway = isUnderway(base)
  const most = underway ? SESSION_CHARACTERS : REST_CHARACTERS
  const text = nextFrame(frames, came, most, base.estimates.nowSeconds)
  if (frames.escape) {
    frames.escape = false
    askPrompt(line, base)
  }
  if (frames.tooLong) {
    frames.tooLong = false
    complain(line, base, 'More than ' + most + ' characters, or too fast')
  }
  if (text !== undefined) answer(line, base, text, underway)
}

function report(line: Console, base: Base): void {
  line.dueSeconds += line.everySeconds
  // After a gap there is nothing to make up for.
  if (!(line.dueSeconds > base.estimates.nowSeconds)) line.dueSeconds = base.estimates.nowSeconds + line.everySeconds
  notify(base, 'telemetry', statusOf(line, base))
}
