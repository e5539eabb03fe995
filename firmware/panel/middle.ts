/**
 * The middle of the screen: at what temperature, and how far. Before a pour, the range to pour at; in a bath, the bath
 * itself, with "~" where it is only believed. The bar is the bath's progress.
 */
import type { ClockView } from '../clock/view.ts'
import type { Recipe } from '../recipe/recipe.ts'
import type { Estimates } from '../sense/estimates.ts'
import { statedCelsius } from '../session/pour.ts'
import type { Session } from '../session/session.ts'
import { celsiusText, rangeText } from './format.ts'
import { type Panel, show } from './frame.ts'

/** The bar is 52 pixels wide: finer steps cannot be seen and would only redraw it. */
const BAR_STEPS = 50

export function drawMiddle(
  panel: Panel,
  session: Session,
  clockView: ClockView,
  estimates: Estimates,
  recipe: Recipe,
): void {
  const inBath = session.underway.contents !== 'empty'
  const range = inBath ? undefined : statedCelsius(recipe.baths[session.bathIndex])
  let text = ''
  if (inBath) text = celsiusText(estimates.bathCelsius, clockView.bridging)
  else if (session.state === 'ready' || session.state === 'planned') {
    text = range === undefined ? '' : rangeText(range[0], range[1])
  }
  show(panel, panel.celsius, text, false)
  let filled = session.state === 'finished' ? 1 : 0
  if (inBath && clockView.progress > 0) {
    filled = clockView.progress > 1 ? 1 : Math.floor(clockView.progress * BAR_STEPS) / BAR_STEPS
  }
  if (panel.bar.filled === filled) return
  panel.bar.filled = filled
  panel.changed = true
}
