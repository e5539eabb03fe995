/**
 * The two lowest lines, small: which bath of how many, and whether all is well. An alarm takes the last line, dark on
 * light until acknowledged; a refusal takes both for some seconds. So does the question how long it was dark, while it is
 * asked and nothing calls.
 */
import type { ClockView } from '../clock/view.ts'
import type { EnergyView } from '../energy/view.ts'
import type { Recipe } from '../recipe/recipe.ts'
import { REFUSAL_SHOWN_SECONDS } from '../session/act.ts'
import { foremost, isCalling } from '../session/alarms.ts'
import { ALARMS } from '../session/alarmTable.ts'
import type { Session } from '../session/session.ts'
import { breakAt, cut, percentText } from './format.ts'
import { type Panel, show } from './frame.ts'

/** Characters that fit into a line of 8-pixel cells: 128 / 6. */
export const LINE_CHARACTERS = 21
/** The charge that is shown follows in steps of so much. */
const CHARGE_STEP = 0.01
const BLANKS = '                     '

export function drawBottom(
  panel: Panel,
  session: Session,
  clockView: ClockView,
  energyView: EnergyView,
  nowSeconds: number,
  recipe: Recipe,
): void {
  // What stands for longer than a refusal waits for a hand, and gives way to an alarm that calls for one.
  const wordsSeconds = session.refusalUntilSeconds - nowSeconds
  const waits = wordsSeconds > REFUSAL_SHOWN_SECONDS && session.alarms.calling > 0
  if (session.refusal !== '' && wordsSeconds > 0 && !waits) {
    const end = breakAt(session.refusal, LINE_CHARACTERS)
    show(panel, panel.name, session.refusal.substr(0, end), true)
    show(panel, panel.bottom, cut(session.refusal.substr(end + 1), LINE_CHARACTERS), true)
    return
  }
  const baths = recipe.baths
  const asks = session.darkAt >= 0
  const bathText = spread(baths[session.bathIndex].name, session.bathIndex + 1 + '/' + baths.length)
  show(panel, panel.name, asks ? 'Power gone how long?' : bathText, false)
  const place = foremost(session.alarms)
  const calls = place >= 0 && isCalling(session.alarms, place)
  if (asks && !calls) show(panel, panel.bottom, 'Advance next, hold OK', false)
  else if (place >= 0) show(panel, panel.bottom, ALARMS[place].short, calls)
  else show(panel, panel.bottom, wellText(panel, session, clockView, energyView), false)
}

/** Whether all is well, before it is worth an alarm; at the right the bound of a bath that runs by progress. */
function wellText(panel: Panel, session: Session, clockView: ClockView, energyView: EnergyView): string {
  // A figure that flickers between two percents would only draw the eye.
  if (!(Math.abs(energyView.charge - panel.chargeShown) < CHARGE_STEP)) panel.chargeShown = energyView.charge
  const charge = panel.chargeShown > 0 ? percentText(panel.chargeShown) : '--%'
  const left = energyView.enough ? 'OK pack ' + charge : 'Short pack ' + charge
  if (session.underway.contents === 'empty') return left
  const bound = clockView.boundPercent
  const right = bound > 0 && bound < 100 ? '+-' + bound.toFixed(bound < 9.95 ? 1 : 0) + '%' : ''
  return spread(bathText(clockView, left), right)
}

function bathText(clockView: ClockView, otherwise: string): string {
  if (clockView.usable === 'tooCold') return 'Cold bath'
  if (clockView.usable === 'tooWarm') return 'Warm bath'
  return clockView.outsideSheet ? 'Off the sheet' : otherwise
}

/** One text at the left, cut where it must be, and one at the right. */
function spread(left: string, right: string): string {
  const leftText = cut(left, LINE_CHARACTERS - 1 - right.length)
  return leftText + BLANKS.substr(0, LINE_CHARACTERS - leftText.length - right.length) + right
}
