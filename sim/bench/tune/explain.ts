/**
 * Why a wish cannot be met: which one no programme meets at all, which two stand against each other, and the nearest
 * that can be had. By the figures of all programmes that were tried. Pure.
 */
import type { Figures } from './figures.ts'
import { nameOf, sayMeasure, sayProgramme, sayWish } from './sayFigures.ts'
import type { Candidate } from './search.ts'
import { isDriven, isMet, meetsAll, type Wish } from './wishes.ts'

/** Two wishes that no programme meets together: the nearest to each while the other is kept. */
export interface Conflict {
  wishes: [Wish, Wish]
  /** The best of the first wish's measure among those that keep the second, and the other way round. */
  nearest: [Figures, Figures]
}

export interface Unmet {
  /** The motor follows none of the programmes. */
  undriven: boolean
  /** Wishes that no programme meets, with the one that comes nearest. */
  alone: { wish: Wish; nearest: Figures }[]
  conflicts: Conflict[]
}

function bestOf(all: Candidate[], wish: Wish): Candidate | undefined {
  let best: Candidate | undefined
  for (const one of all) {
    const value = one.figures[wish.measure]
    if (
      best === undefined ||
      (wish.atLeast ? value > best.figures[wish.measure] : value < best.figures[wish.measure])
    ) {
      best = one
    }
  }
  return best
}

/** What stands against what. Nothing when a programme meets all. */
export function unmetBy(tried: Candidate[], wishes: Wish[]): Unmet {
  const driven = tried.filter(one => isDriven(one.figures))
  const unmet: Unmet = { undriven: driven.length === 0, alone: [], conflicts: [] }
  if (driven.length === 0 || driven.some(one => meetsAll(wishes, one.figures))) return unmet
  const possible: Wish[] = []
  for (const wish of wishes) {
    if (driven.some(one => isMet(wish, one.figures))) possible.push(wish)
    else unmet.alone.push({ wish, nearest: (bestOf(driven, wish) as Candidate).figures })
  }
  for (let i = 0; i < possible.length; i++) {
    for (let k = i + 1; k < possible.length; k++) {
      const [a, b] = [possible[i] as Wish, possible[k] as Wish]
      const keepA = driven.filter(one => isMet(a, one.figures))
      if (keepA.some(one => isMet(b, one.figures))) continue
      const keepB = driven.filter(one => isMet(b, one.figures))
      const nearest: [Figures, Figures] = [
        (bestOf(keepB, a) as Candidate).figures,
        (bestOf(keepA, b) as Candidate).figures,
      ]
      unmet.conflicts.push({ wishes: [a, b], nearest })
    }
  }
  return unmet
}

/** In sentences, one a line. Empty when every wish is met; `nearest` is the programme advised all the same. */
export function explainUnmet(tried: Candidate[], wishes: Wish[], nearest: Candidate): string[] {
  if (meetsAll(wishes, nearest.figures)) return []
  const unmet = unmetBy(tried, wishes)
  const lines: string[] = []
  const weak = weaknessOf(tried)
  if (weak !== '') lines.push(`${weak} Ask for less with --most-rpm, charge the pack, or take a stronger motor.`)
  for (const { wish, nearest: figures } of unmet.alone) {
    lines.push(`${sayWish(wish)} is met by no programme; the nearest has ${sayMeasure(wish.measure, figures)}.`)
  }
  for (const {
    wishes: [a, b],
    nearest: [keepB, keepA],
  } of unmet.conflicts) {
    lines.push(
      `${sayWish(a)} stands against ${sayWish(b)}: keeping the second, ${nameOf(a.measure)} comes to ` +
        `${sayMeasure(a.measure, keepB)}; keeping the first, ${nameOf(b.measure)} comes to ${sayMeasure(b.measure, keepA)}.`,
    )
  }
  if (lines.length === 0) lines.push(...closeCall(wishes, nearest.figures))
  lines.push(`The nearest of ${tried.length} programmes tried: ${sayProgramme(nearest.agitation)}.`)
  return lines
}

/** Fewer than this part of the programmes beyond the motor are the edge of any search, not worth a word. Assumed. */
const WORTH_A_WORD = 0.1

/** What the motor and its pack did not follow, in a sentence; '' where that is little or nothing. */
export function weaknessOf(tried: Candidate[]): string {
  const undriven = tried.filter(one => !isDriven(one.figures))
  if (undriven.length < WORTH_A_WORD * tried.length || tried.length === 0) return ''
  const stopped = undriven.filter(one => one.figures.failedFraction > 0).length
  const slow = undriven.length - stopped
  const fastest = Math.max(...tried.map(one => one.figures.reachedFraction * one.agitation.rpm))
  const why = [
    ...(slow > 0 ? [`${slow} never got to their speed`] : []),
    ...(stopped > 0 ? [`in ${stopped} it stalled or the pack cut off`] : []),
  ]
  return (
    `Motor or pack are too weak for ${undriven.length} of ${tried.length} programmes: ${why.join(', ')}. ` +
    `Fastest that any leg got: ${fastest.toFixed(0)} rpm.`
  )
}

/** No two wishes exclude each other, all together do, or only the proof on other evenings says no. */
function closeCall(wishes: Wish[], figures: Figures): string[] {
  const missed = wishes.filter(wish => !isMet(wish, figures))
  const words = missed.map(wish => `${sayWish(wish)} comes to ${sayMeasure(wish.measure, figures)}`)
  return [`All wishes together are met by no programme: ${words.join('; ')}. More --tries may find one.`]
}
