/**
 * A recorded session beside what today's firmware does with the same baths and the same presses: bath by bath, and what
 * it would have done otherwise. "Same" is meant within what the record can tell; see `replayBathCompare.ts` and
 * `replayAlarms.ts` for how that is found.
 */
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import type { RecordedSession } from '../field/recorded.ts'
import { compareAlarms, type Tries } from './replayAlarms.ts'
import { bathDifferences, type ComparedBath, compareBath, TICK_SECONDS } from './replayBathCompare.ts'
import type { PressToday } from './replayHands.ts'
import type { ReplayInputs } from './replayInputs.ts'
import type { DarkToday, ReplayToday } from './replayRun.ts'
import { bathName, type Difference, secondsWords, sinceContact } from './replayWords.ts'

export interface Comparison {
  baths: ComparedBath[]
  differences: Difference[]
  /** What cannot be told from this record, and why. */
  untold: string[]
  same: boolean
}

/** `recipe` is the whole one, from its first bath on. */
export function compare(recorded: RecordedSession, inputs: ReplayInputs, recipe: Recipe, tries: Tries): Comparison {
  const { today } = tries
  const baths = today.baths.map((bath, i) => {
    const index = i + inputs.firstBath
    return compareBath(recorded, inputs, recipe.baths[index]!, index, bath)
  })
  // The bath in which base and hands part is told by the press that parted them.
  const compared = isNaN(today.lostSeconds) ? baths : baths.slice(0, -1)
  const otherCalls = compared.flatMap((bath, i) => (bath.same ? [] : [i + inputs.firstBath]))
  const alarms = compareAlarms(recorded, inputs, recipe, tries, otherCalls)
  const differences = [
    ...compared.flatMap(bathDifferences),
    ...today.presses.map(press => pressDifference(recorded, recipe, press)),
    ...today.darks.flatMap(dark => darkDifference(recorded, recipe, dark)),
    ...alarms.differences,
  ]
  const untold = [...untoldOf(recorded, inputs, today, recipe), ...alarms.untold]
  return { baths: compared, differences, untold, same: differences.length === 0 }
}

const MEANINGS: { [kind: string]: string } = {
  bathBegun: 'the press that begins the pour',
  turningBegun: 'the press that says full',
  drainBegun: 'the press to pour out',
  bathEnded: 'the press that says empty',
  held: 'the press to hold',
  holdEnded: 'the press that ends the hold',
}

function pressDifference(
  recorded: RecordedSession,
  recipe: Recipe,
  { press, reason, takenAgain }: PressToday,
): Difference {
  const what = `${MEANINGS[press.event] ?? 'a press'} ${sinceContact(recorded, press.bathIndex, press.atSeconds)}`
  const said = reason === '' ? '' : ` ("${reason}")`
  const words = takenAgain ? `asks to press again before it takes ${what}${said}` : `does not take ${what}${said}`
  return { about: 'press', bath: bathName(recipe, press.bathIndex), words }
}

/** A clock or a short restart tells to the second how long it was dark; anything else is taken from the record. */
function darkDifference(
  recorded: RecordedSession,
  recipe: Recipe,
  { recorded: dark, seconds }: DarkToday,
): Difference[] {
  const then = dark.toSeconds - dark.fromSeconds
  if (dark.byCooling || dark.answered || isNaN(seconds) || Math.abs(seconds - then) <= 1 + TICK_SECONDS) return []
  const words = `takes itself to have been dark for ${secondsWords(seconds)} (recorded ${secondsWords(then)})`
  return [{ about: 'dark', bath: bathName(recipe, bathAt(recorded, dark.fromSeconds)), words }]
}

function bathAt(recorded: RecordedSession, seconds: number): number {
  return recorded.checkpoints.filter(c => c.sessionSeconds <= seconds).pop()?.bathIndex ?? 0
}

function untoldOf(recorded: RecordedSession, inputs: ReplayInputs, today: ReplayToday, recipe: Recipe): string[] {
  const untold: string[] = []
  if (recorded.missing !== '') untold.push(`the record is not whole: ${recorded.missing}`)
  if (inputs.learnedUnknown) {
    untold.push(
      "what the base knew of its operator's hands before is not in the record; what it knew later is taken, and a call " +
        'may be off by 3 s for that',
    )
  }
  if (recorded.events.some(event => event.kind === 'stopped')) {
    untold.push('the motor was stopped because driving was not safe; what the pack gave is not in the record')
  }
  for (const { recorded: dark, seconds } of today.darks) {
    const then = secondsWords(dark.toSeconds - dark.fromSeconds)
    const bath = bathName(recipe, bathAt(recorded, dark.fromSeconds))
    const own = isNaN(seconds) ? '' : `; its own estimate today is ${secondsWords(seconds)}`
    if (dark.answered) untold.push(`power gone in ${bath}: dark for ${then}, as the operator said${own}`)
    else if (dark.byCooling) {
      untold.push(`power gone in ${bath}: dark for ${then}, as the base took it from how the bath cooled${own}`)
    }
  }
  if (!isNaN(today.lostSeconds)) {
    untold.push('from the press that was not taken on base and hands go different ways; the rest is not compared')
  }
  return untold
}
