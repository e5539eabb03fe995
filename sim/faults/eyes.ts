/**
 * What a person sees and hears of a base: what it asks for, which bath it speaks of, whether an alarm calls. Read from the
 * screen that was really shown; by ear from the tunes where the screen is gone. Nothing is known of a dark base.
 */
import { TUNES } from '../../firmware/panel/tunes.ts'
import { ASKED } from '../rehearsal/asked.ts'
import type { Rig } from './rig.ts'

export type SeenAsked = 'pourIn' | 'close' | 'wait' | 'held' | 'pourOut' | 'drain' | 'over' | 'unknown'

export interface Seen {
  asked: SeenAsked
  /** Of the recipe, from 0. */
  bathIndex: number
  calling: boolean
  /** The last line of the screen, where the alarm stands. */
  alarm: string
  /** Which of the frames that were shown was read last; -1 after anything else was gone by. */
  frames: number
}

/** Lines of the panel's frame. */
const TOP = 0
const NAME = 3
const BOTTOM = 4

const WORDS: { [word: string]: SeenAsked } = {
  'POUR IN': 'pourIn',
  FILLING: 'close',
  'CLOSE TANK': 'close',
  'ON HOLD': 'held',
  'BY HAND': 'wait',
  'POUR OUT': 'pourOut',
  DRAINING: 'drain',
  'EMPTY?': 'drain',
  DONE: 'over',
  ABANDONED: 'over',
}

/** Writes into `seen` what can be seen or heard now. */
export function look(rig: Rig, seen: Seen): void {
  const { panels, base } = rig
  if (base === undefined) {
    seen.frames = -1
    seen.asked = 'unknown'
    seen.calling = false
    return
  }
  if (panels.screenGone || panels.texts.length === 0) {
    seen.frames = -1
    if (!panels.sounderGone) listen(rig, seen)
    return
  }
  // A screen is read when it has changed.
  if (panels.frames === seen.frames) return
  seen.frames = panels.frames
  const word = panels.texts[TOP] as string
  // A screen that is dark to save charge, or a time that counts down: the tank turns.
  seen.asked = Object.hasOwn(WORDS, word) ? (WORDS[word] as SeenAsked) : 'wait'
  const name = panels.texts[NAME] as string
  const count = name.lastIndexOf('/') < 0 ? '' : name.slice(name.lastIndexOf(' ') + 1)
  if (count !== '' && panels.inverse[NAME] !== true) seen.bathIndex = Number.parseInt(count, 10) - 1
  seen.alarm = panels.texts[BOTTOM] as string
  seen.calling = panels.inverse[BOTTOM] === true && panels.inverse[NAME] !== true
}

/** By ear: a person who knows the order of the steps knows from each tune, and from the click of each press, what is next. */
function listen(rig: Rig, seen: Seen): void {
  const { base, panels } = rig
  if (base === undefined) return
  const { session } = base
  const asked = ASKED[session.state]
  const isHeld = session.state === 'held' || session.state === 'heldDue'
  seen.asked = asked === 'nothing' ? 'over' : asked === 'wait' && isHeld ? 'held' : asked
  seen.bathIndex = session.bathIndex
  seen.alarm = ''
  seen.calling = panels.tones === TUNES.alarmUrgent || panels.tones === TUNES.alarmMild || panels.tones === TUNES.held
}
