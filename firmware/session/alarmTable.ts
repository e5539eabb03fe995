/**
 * Every alarm the base can give: one table, and below it what each means and what the operator should do.
 *
 * A number never changes its meaning, because journals and reports keep numbers. 10s: the bath and its probe; 20s: the
 * drive; 30s: the pack; 40s: the operator's hands; 50s: the base itself. Texts are printable ASCII; `short` fits one line of the screen.
 */

export interface AlarmKind {
  number: number
  name: string
  /** On the screen: at most 21 characters, saying what to do where there is room for it. */
  short: string
  /** Somebody should come now; else when the hands are free. */
  urgent: boolean
  /** How long its cause must last before it is raised: so that a clean run raises none. */
  afterSeconds: number
}

function kind(number: number, name: string, urgent: boolean, afterSeconds: number, short: string): AlarmKind {
  return { number: number, name: name, short: short, urgent: urgent, afterSeconds: afterSeconds }
}

/** In the order of their numbers. The delays are assumed: longer than what noise and a pour can do, shorter than what harms a film. */
export const ALARMS: AlarmKind[] = [
  kind(10, 'probeFailed', true, 2, 'Probe? By model now'),
  kind(11, 'outsideSheet', false, 5, 'Outside the sheet'),
  kind(12, 'bathTooCold', false, 5, 'Bath too cold'),
  kind(13, 'bathTooWarm', false, 5, 'Bath too warm'),
  kind(14, 'modelContradicted', false, 3, 'Bath acts oddly'),
  kind(15, 'boundWide', false, 10, 'Time is uncertain'),
  kind(20, 'rotationLost', false, 3, 'Turns not seen'),
  kind(21, 'slipping', false, 5, 'Tank slips: dry it'),
  kind(22, 'walkedOff', true, 3, 'Tank off its rollers'),
  kind(23, 'jammed', true, 2, 'Tank jammed: free it'),
  kind(24, 'stalledForGood', true, 0, 'Stall: turn by hand'),
  kind(25, 'driverStuck', true, 2, 'Motor on: unplug it'),
  kind(30, 'packUnknown', true, 2, 'Pack? Turn by hand'),
  kind(31, 'chargeShort', false, 10, 'Charge short: slower'),
  kind(32, 'turnByHandSoon', true, 2, 'Soon turn by hand'),
  kind(33, 'packEmpty', true, 0, 'Empty: turn by hand'),
  kind(40, 'holdForgotten', true, 0, 'Still held: press it'),
  kind(41, 'pourOutOverdue', true, 0, 'Overdue: pour out'),
  kind(42, 'fillForgotten', true, 0, 'Full? Press advance'),
  kind(43, 'drainForgotten', false, 0, 'Empty? Press advance'),
  kind(44, 'filmWaits', false, 0, 'Film waits: pour in'),
  kind(45, 'filmWaitsDeveloped', true, 0, 'Film acts on: pour!'),
  kind(46, 'advanceStuck', true, 0, 'Advance stuck: hold'),
  kind(47, 'holdStuck', false, 0, 'Hold button stuck'),
  kind(50, 'powerWasGone', true, 0, 'Power was gone'),
  kind(51, 'sessionLost', true, 0, 'A session was lost'),
  kind(52, 'journalFailing', false, 0, 'Record not kept'),
]

/** Places in `ALARMS`, by name, so that the code does not count. */
export const PROBE_FAILED = 0
export const OUTSIDE_SHEET = 1
export const BATH_TOO_COLD = 2
export const BATH_TOO_WARM = 3
export const MODEL_CONTRADICTED = 4
export const BOUND_WIDE = 5
export const ROTATION_LOST = 6
export const SLIPPING = 7
export const WALKED_OFF = 8
export const JAMMED = 9
export const STALLED_FOR_GOOD = 10
export const DRIVER_STUCK = 11
export const PACK_UNKNOWN = 12
export const CHARGE_SHORT = 13
export const TURN_BY_HAND_SOON = 14
export const PACK_EMPTY = 15
export const HOLD_FORGOTTEN = 16
export const POUR_OUT_OVERDUE = 17
export const FILL_FORGOTTEN = 18
export const DRAIN_FORGOTTEN = 19
export const FILM_WAITS = 20
export const FILM_WAITS_DEVELOPED = 21
export const ADVANCE_STUCK = 22
export const HOLD_STUCK = 23
export const POWER_WAS_GONE = 24
export const SESSION_LOST = 25
export const JOURNAL_FAILING = 26

/** The place of a number in `ALARMS`; −1 for a number that is none. */
export function alarmPlace(number: number): number {
  for (let i = 0; i < ALARMS.length; i++) if (ALARMS[i].number === number) return i
  return -1
}

/**
 * What an alarm means, and what the operator should do. A function, so that on a board the texts stay in flash.
 * A number that is none gives an empty text.
 */
export function explainAlarm(number: number): string {
  switch (number) {
    case 10:
      return 'The probe does not answer sensibly; the bath is followed by calculation and its time is less certain. Go on. Check the plug and cable when the tank is empty.'
    case 11:
      return 'The bath is warmer or colder than any row of its data sheet; its time is extrapolated. Go on, and trust the result less. Pour nearer to the sheet next time.'
    case 12:
      return 'The bath is colder than its recipe calls usable. A developer then needs longer, and any bath may do less than it should. Go on; warm the solutions and the room before the next bath.'
    case 13:
      return 'The bath is warmer than its recipe calls usable. Go on; be quick to pour out when called, and cool the next solutions.'
    case 14:
      return 'The bath warms or cools as nothing poured explains: a water bath, a draught, or another volume than was stated. The probe alone is followed. Go on; check what touches the tank.'
    case 15:
      return 'How far the bath has acted is known worse than usual. Go on; judge this film before developing the next in the same way.'
    case 20:
      return 'The turning is no longer seen by its sensor, only believed. Look whether the tank turns. Check magnet, disc and cable when the tank is empty.'
    case 21:
      return 'The tank turns slower than its rollers. Hold, dry the tank and the rollers, lay it back, and press hold again.'
    case 22:
      return 'The rollers turn and the tank does not follow: it has walked off or been lifted. Lay it back on its rollers, or turn it by hand.'
    case 23:
      return 'The tank does not turn although the rollers try. Hold, free the tank, and press hold again; or turn it by hand.'
    case 24:
      return 'The motor stalled and gentle attempts to start it failed; the base goes on trying now and then, and the clock goes on. Hold, free the tank, and press hold again; or hold and turn it by hand.'
    case 25:
      return 'The motor draws current although it is told to rest: its driver is broken, and no button stops it. Take the pack out, lift the tank off, and turn it by hand; the session ends by your own watch.'
    case 30:
      return 'The pack cannot be read, so that driving is not known to be safe and the motor is off. The clock goes on and will call. Turn the tank by hand; check the pack, and press advance to go on.'
    case 31:
      return 'The pack will hardly last for the session. The base turns slower and keeps its screen dark to save charge. Charge before the next session.'
    case 32:
      return 'The pack will soon be empty. Be ready to turn the tank by hand; the clock goes on and will call.'
    case 33:
      return 'The pack is empty and the motor is off. The clock goes on as long as it can. Turn the tank by hand and watch a clock of your own.'
    case 40:
      return 'The tank has stood still for a minute or more on hold while the bath acts. Press hold to let it turn, or turn it by hand.'
    case 41:
      return 'The pour-out was called and not answered; the bath goes on acting. Press advance and pour out.'
    case 42:
      return 'Pouring in has taken very long, and the tank does not turn yet. Close it and press advance.'
    case 43:
      return 'Pouring out has taken very long. When the tank is empty, press advance.'
    case 44:
      return 'The film waits wet and in the dark between two baths. Pour the next bath in and press advance.'
    case 45:
      return 'Developer clings to the film and goes on acting unevenly. Pour the next bath in now and press advance.'
    case 46:
      return 'The advance button has been down for very long. Free it and dry it. Until then the hold button does the work of advance.'
    case 47:
      return 'The hold button has been down for very long. Free it and dry it. Until then the tank cannot be held; lift it off if it must rest.'
    case 50:
      return 'The base was dark in a session. The film went on developing unturned; the clock counts that, less surely. Turn the tank by hand a few times, then press hold to go on, or pour out when called.'
    case 51:
      return 'The record says that a session was under way when the power went, and its recipe is no longer here. Finish by hand, with a watch and the data sheet.'
    case 52:
      return 'The flash does not take the record any more. The session goes on; after a power cut it could not be gone on with. Have the board changed.'
    default:
      return ''
  }
}
