/**
 * What sense has to know of the session to understand what it reads: what is in the tank, since when, and what the
 * motor was told. Written by the session at the end of a tick, read by sense at the start of the next.
 */
import type { Rate } from '../recipe/rate.ts'

/** What the tank holds. `filling` begins at first contact, `full` when it is full and closed. */
export type Contents = 'empty' | 'filling' | 'full' | 'draining'

export interface Underway {
  contents: Contents
  /** When these contents began: the moment of the press, on the monotonic clock. */
  sinceSeconds: number
  /** Which bath of the recipe this is; a new number means a new solution. */
  bathIndex: number
  /** What is poured in for this bath. */
  millilitres: number
  /** How long filling and draining take: the recipe's, later the operator's own. */
  fillSeconds: number
  drainSeconds: number
  /** Where a bath poured for this step is expected: the middle and one sigma. Only where the observer starts from. */
  pourCelsius: number
  pourSigmaCelsius: number
  /** The rate of development that the observer integrates along; `undefined` for a bath that only runs by time. */
  rate: Rate | undefined
  /** What the sheet's time counts from. */
  startsWhen: 'contact' | 'full'
  /** −1 to 1, as written to the motor last. */
  motorDuty: number
}

export function createUnderway(): Underway {
  return {
    contents: 'empty',
    sinceSeconds: 0,
    bathIndex: -1,
    millilitres: 0,
    fillSeconds: 0,
    drainSeconds: 0,
    pourCelsius: 20,
    pourSigmaCelsius: 5,
    rate: undefined,
    startsWhen: 'contact',
    motorDuty: 0,
  }
}
