/**
 * The two buttons: from what the board counted to presses that a person meant.
 *
 * Assumes that the board counts every edge and keeps the moment of the last one (`hal/board.ts`). Contacts bounce when
 * they close and when they open; a press shorter than a tick still counts; presses from before the start do not. A
 * button that stays down longer than any finger is called stuck and not listened to until it has come up again.
 */
import type { Readings } from '../readings.ts'
import type { Estimates } from '../sense/estimates.ts'

/** An edge so soon after a press that was taken is bounce. Small push buttons bounce for up to 20 ms; wet fingers slide (assumed). */
export const BOUNCE_SECONDS = 0.15
/** An edge so soon after the button was seen to be up again is bounce of the opening contact (assumed). */
export const RELEASE_BOUNCE_SECONDS = 0.05
/** Down for so long means it (assumed). */
export const LONG_PRESS_SECONDS = 2
/** Down for so long is no finger: water in the switch or something leaning on it (assumed). */
export const STUCK_SECONDS = 15
/** A button that was stuck has to be up for this long before it is listened to again (assumed). */
export const AFTER_STUCK_SECONDS = 1
/** A look later than this may have missed a release and another press (a button is looked at five times a second). */
export const LATE_TICK_SECONDS = 0.3

interface ButtonState {
  /** The board's count, as seen last; −1 before the first look. */
  presses: number
  down: boolean
  lookedSeconds: number
  /** The press that was taken last; −Infinity for none. */
  takenSeconds: number
  /** Since when it is down; NaN while up. */
  downSinceSeconds: number
  /** When it was seen to have come up; −Infinity for never. */
  upSeconds: number
  /** The press under way may still become a long one. */
  mayBeLong: boolean
  stuck: boolean
}

export interface Buttons {
  /** Something was told in the last tick that holds for one tick only; or nothing was looked at yet. */
  told: boolean
  advance: ButtonState
  hold: ButtonState
}

function createButtonState(): ButtonState {
  return {
    presses: -1,
    down: false,
    lookedSeconds: -Infinity,
    takenSeconds: -Infinity,
    downSinceSeconds: NaN,
    upSeconds: -Infinity,
    mayBeLong: false,
    stuck: false,
  }
}

export function createButtons(): Buttons {
  return { told: true, advance: createButtonState(), hold: createButtonState() }
}

/** Writes presses, the long press and stuck buttons into `estimates`; every tick. In most of them there is nothing to look at. */
export function senseButtons(b: Buttons, readings: Readings, estimates: Estimates): void {
  if (readings.touched || b.told) lookAtBoth(b, readings, estimates)
}

function lookAtBoth(b: Buttons, readings: Readings, estimates: Estimates): void {
  const advance = b.advance
  const hold = b.hold
  b.told = readings.touched
  estimates.advancePressSeconds = NaN
  estimates.holdPressSeconds = NaN
  estimates.holdLongPress = false
  if (readings.advanceDown || advance.down || readings.advancePresses !== advance.presses) {
    estimates.advancePressSeconds = look(
      advance,
      readings.advanceDown,
      readings.advancePresses,
      readings.advancePressedSeconds,
      readings,
    )
    estimates.advanceStuck = advance.stuck
  }
  if (readings.holdDown || hold.down || readings.holdPresses !== hold.presses) {
    estimates.holdPressSeconds = look(
      hold,
      readings.holdDown,
      readings.holdPresses,
      readings.holdPressedSeconds,
      readings,
    )
    estimates.holdStuck = hold.stuck
    if (hold.mayBeLong && hold.down && readings.nowSeconds - hold.takenSeconds >= LONG_PRESS_SECONDS) {
      hold.mayBeLong = false
      estimates.holdLongPress = true
    }
  }
}

/** The moment of a press that a person meant, or NaN. */
function look(b: ButtonState, down: boolean, presses: number, pressedSeconds: number, readings: Readings): number {
  const nowSeconds = readings.nowSeconds
  const first = b.presses < 0
  // A count that went back comes from a part that was made anew: its presses are from before, too.
  const counted = !first && presses > b.presses
  const wasDown = b.down
  const late = nowSeconds - b.lookedSeconds > LATE_TICK_SECONDS
  b.lookedSeconds = nowSeconds
  b.presses = presses
  b.down = down
  if (!down) {
    if (wasDown) b.upSeconds = nowSeconds
    // A wet switch that lets go for a moment is not to be trusted at once.
    if (b.stuck) b.takenSeconds = nowSeconds + AFTER_STUCK_SECONDS
    b.downSinceSeconds = NaN
    b.mayBeLong = false
    b.stuck = false
  } else if (!wasDown) b.downSinceSeconds = nowSeconds
  else if (nowSeconds - b.downSinceSeconds >= STUCK_SECONDS) b.stuck = true
  if (!counted || b.stuck) return NaN
  // Seen down in the last look and edges since: the opening contact or a trembling finger, unless this look was late.
  if (wasDown && !late) return NaN
  let atSeconds = pressedSeconds
  if (!(atSeconds <= nowSeconds)) atSeconds = nowSeconds
  if (atSeconds < nowSeconds - 2 * readings.tickSeconds - BOUNCE_SECONDS) atSeconds = nowSeconds
  if (atSeconds - b.takenSeconds < BOUNCE_SECONDS) {
    // The press that bounced may still become a long one.
    if (down && atSeconds >= b.takenSeconds) b.mayBeLong = true
    return NaN
  }
  if (!wasDown && atSeconds - b.upSeconds < RELEASE_BOUNCE_SECONDS && atSeconds >= b.upSeconds) return NaN
  b.takenSeconds = atSeconds
  b.mayBeLong = down
  return atSeconds
}
