/**
 * The two lowest lines, small: which bath of how many, and whether all is well. An alarm takes the last line, dark on
 * light until acknowledged; a refusal takes both for some seconds.
 */
import type { ClockView } from '../clock/view.ts'
import type { EnergyView } from '../energy/view.ts'
import type { Recipe } from '../recipe/recipe.ts'
import { foremost, isCalling } from '../session/alarms.ts'
import { ALARMS } from '../session/alarmTable.ts'
import type { Session } from '../session/session.ts'
import { breakAt, cut, percentText } from './format.ts'
import { type Panel, show } from './frame.ts'

/** Characters that fit into a line of 8-pixel cells: 128 / 6. */
export const LINE_CHARACTERS = 21
const BLANKS = '                     '

export function drawBottom(
  panel: Panel,
  session: Session,
  clockView: ClockView,
  energyView: EnergyView,
  nowSeconds: number,
  recipe: Recipe,
): void {
  if (session.refusal !== '' && nowSeconds < session.refusalUntilSeconds) {
    const end = breakAt(session.refusal, LINE_CHARACTERS)
    show(panel, panel.name, session.refusal.substr(0, end), true)
    show(panel, panel.bottom, cut(session.refusal.substr(end + 1), LINE_CHARACTERS), true)
    return
  }
  const baths = recipe.baths
  show(panel, panel.name, spread(baths[session.bathIndex].name, session.bathIndex + 1 + '/' + baths.length), false)
  const place = foremost(session.alarms)
  if (place >= 0) show(panel, panel.bottom, ALARMS[place].short, isCalling(session.alarms, place))
  else show(panel, panel.bottom, wellText(session, clockView, energyView), false)
}

/** All is well, or is about the charge not known to be; at the right the bound of a bath that runs by progress. */
function wellText(session: Session, clockView: ClockView, energyView: EnergyView): string {
  const left = (energyView.enough ? 'OK pack ' : 'Short pack ') + percentText(energyView.charge)
  const bound = clockView.boundPercent
  if (session.underway.contents === 'empty' || !(bound > 0 && bound < 100)) return left
  return spread(left, '+-' + bound.toFixed(bound < 9.95 ? 1 : 0) + '%')
}

/** One text at the left, cut where it must be, and one at the right. */
function spread(left: string, right: string): string {
  const leftText = cut(left, LINE_CHARACTERS - 1 - right.length)
  return leftText + BLANKS.substr(0, LINE_CHARACTERS - leftText.length - right.length) + right
}
