/**
 * The upper half of the screen, to be read from a metre away: what to do now and how long. While the tank turns and
 * nothing is to be done, the time to the pour-out fills it; else a word of at most 10 characters, dark on light when a
 * person must act, and a time below it.
 */
import type { ClockView } from '../clock/view.ts'
import type { Recipe } from '../recipe/recipe.ts'
import type { Session } from '../session/session.ts'
import { clockText, cut } from './format.ts'
import { type Panel, show } from './frame.ts'

/** Characters that fit into a line of 16-pixel cells. */
const WORD_CHARACTERS = 10

export function drawTop(
  panel: Panel,
  session: Session,
  clockView: ClockView,
  nowSeconds: number,
  recipe: Recipe,
): void {
  const underway = session.underway
  const leftSeconds = clockView.cueAtSeconds - nowSeconds
  switch (session.state) {
    case 'planned':
    case 'ready':
      drawWords(panel, 'POUR IN', true, cut(recipe.baths[session.bathIndex].name, WORD_CHARACTERS))
      break
    case 'filling':
      if (nowSeconds - underway.sinceSeconds < underway.fillSeconds) {
        drawWords(panel, 'FILLING', false, clockText(nowSeconds - underway.sinceSeconds))
      } else drawWords(panel, 'CLOSE TANK', true, 'and press')
      break
    case 'turning':
      drawBig(panel, clockText(leftSeconds))
      break
    case 'held':
      drawWords(panel, 'ON HOLD', true, session.darkAt < 0 ? clockText(leftSeconds) : darkText(session))
      break
    case 'stopped':
      drawWords(panel, 'BY HAND', true, clockText(leftSeconds))
      break
    case 'fillingDue':
    case 'due':
    case 'heldDue':
    case 'stoppedDue':
      drawWords(panel, 'POUR OUT', true, '+' + clockText(nowSeconds - session.cueSeconds))
      break
    case 'draining':
      if (nowSeconds - underway.sinceSeconds < underway.drainSeconds) {
        drawWords(panel, 'DRAINING', false, clockText(underway.sinceSeconds + underway.drainSeconds - nowSeconds))
      } else drawWords(panel, 'EMPTY?', true, 'then press')
      break
    case 'finished':
      drawBig(panel, 'DONE')
      break
    case 'abandoned':
      drawWords(panel, 'ABANDONED', true, 'empty tank')
      break
    default:
  }
}

/** How long it was dark, with "~" where the base only believes it. */
function darkText(session: Session): string {
  const seconds = session.darkAnswers[session.darkAt]
  const own = session.darkAt === 0
  if (seconds < 60) return own ? '~' + seconds.toFixed(0) + ' s?' : '<1 min?'
  return (own ? '~' : '') + (seconds / 60).toFixed(0) + ' min?'
}

function drawWords(panel: Panel, word: string, calls: boolean, below: string): void {
  size(panel, 16)
  show(panel, panel.top, word, calls)
  show(panel, panel.second, below, false)
}

function drawBig(panel: Panel, text: string): void {
  size(panel, 32)
  show(panel, panel.top, text, false)
  show(panel, panel.second, '', false)
}

function size(panel: Panel, pixels: number): void {
  if (panel.top.size === pixels) return
  panel.top.size = pixels
  panel.changed = true
}
