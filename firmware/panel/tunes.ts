/**
 * What the sounder plays. Made to be told apart by ear, wet hands and eyes elsewhere: pour in rises, pour out falls
 * twice and comes back until it is answered, alarms are one pitch hammered, hold is a slow low pair, done is a little
 * tune. Pitches lie between 500 and 2,700 Hz, where small sounders are loud (assumed; most resonate near 2.7 kHz).
 */
import type { Tone } from '../../hal/board.ts'

export type TuneName =
  | 'silence'
  | 'taken'
  | 'refused'
  | 'pourIn'
  | 'comingSoon'
  | 'pourOut'
  | 'alarmUrgent'
  | 'alarmMild'
  | 'held'
  | 'done'
  | 'abandoned'

/** Each made once: the board gets the same list every time. */
export const TUNES: Record<TuneName, Tone[]> = {
  silence: [],
  taken: [{ hertz: 1800, seconds: 0.06 }],
  refused: [
    { hertz: 600, seconds: 0.12 },
    { hertz: 500, seconds: 0.2 },
  ],
  pourIn: [
    { hertz: 900, seconds: 0.15 },
    { hertz: 1200, seconds: 0.15 },
    { hertz: 1600, seconds: 0.3 },
  ],
  comingSoon: [
    { hertz: 1400, seconds: 0.08 },
    { hertz: 0, seconds: 0.12 },
    { hertz: 1400, seconds: 0.08 },
  ],
  pourOut: [
    { hertz: 2400, seconds: 0.2 },
    { hertz: 1600, seconds: 0.2 },
    { hertz: 0, seconds: 0.1 },
    { hertz: 2400, seconds: 0.2 },
    { hertz: 1600, seconds: 0.4 },
  ],
  alarmUrgent: [
    { hertz: 2700, seconds: 0.1 },
    { hertz: 0, seconds: 0.07 },
    { hertz: 2700, seconds: 0.1 },
    { hertz: 0, seconds: 0.07 },
    { hertz: 2700, seconds: 0.1 },
    { hertz: 0, seconds: 0.07 },
    { hertz: 2700, seconds: 0.1 },
  ],
  alarmMild: [
    { hertz: 1000, seconds: 0.15 },
    { hertz: 0, seconds: 0.15 },
    { hertz: 1000, seconds: 0.15 },
  ],
  held: [
    { hertz: 700, seconds: 0.35 },
    { hertz: 0, seconds: 0.15 },
    { hertz: 550, seconds: 0.35 },
  ],
  done: [
    { hertz: 1000, seconds: 0.15 },
    { hertz: 1250, seconds: 0.15 },
    { hertz: 1500, seconds: 0.15 },
    { hertz: 2000, seconds: 0.4 },
    { hertz: 0, seconds: 0.1 },
    { hertz: 1500, seconds: 0.15 },
    { hertz: 2000, seconds: 0.5 },
  ],
  abandoned: [
    { hertz: 1000, seconds: 0.2 },
    { hertz: 750, seconds: 0.2 },
    { hertz: 500, seconds: 0.6 },
  ],
}
