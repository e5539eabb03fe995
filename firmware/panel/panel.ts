/**
 * What the screen shows and the sounder plays, made anew once a second and whenever something happens.
 *
 * Assumes that it is called after the session's step, and that whoever writes to the board looks at `changed` and
 * `tonesChanged`. Frame and tunes are made once and reused; a figure that is NaN is shown as dashes.
 */
import type { ClockView } from '../clock/view.ts'
import type { EnergyView } from '../energy/view.ts'
import type { Estimates } from '../sense/estimates.ts'
import type { Session } from '../session/session.ts'
import { drawBottom } from './bottom.ts'
import { chooseTune } from './calls.ts'
import type { Panel } from './frame.ts'
import { drawMiddle } from './middle.ts'
import { drawTop } from './top.ts'
import { TUNES } from './tunes.ts'

export { createPanel, type Panel } from './frame.ts'

/** Something may be about to be asked of the operator: the screen lights up even where charge is saved. */
const LIT_BEFORE_CUE_SECONDS = 10

/** All at once: for a caller that has no need to spread it over its ticks. Does something once a second and when something happened. */
export function updatePanel(
  panel: Panel,
  session: Session,
  clockView: ClockView,
  energyView: EnergyView,
  estimates: Estimates,
): void {
  panel.changed = false
  panel.tonesChanged = false
  if (!estimates.slow && session.eventCount === 0 && !panel.fresh) return
  drawUpper(panel, session, clockView, energyView, estimates)
  drawLower(panel, session, clockView, energyView, estimates)
  chooseTones(panel, session, clockView, estimates)
}

/** What to do and how long, temperature and bar; or the dark. Before `drawLower`. */
export function drawUpper(
  panel: Panel,
  session: Session,
  clockView: ClockView,
  energyView: EnergyView,
  estimates: Estimates,
): void {
  if (panel.fresh) panel.changed = true
  panel.fresh = false
  const nowSeconds = isNaN(estimates.nowSeconds) ? 0 : estimates.nowSeconds
  if (mayBeDark(session, clockView, energyView, nowSeconds)) {
    darken(panel)
    return
  }
  if (panel.dark) {
    panel.frame.bars = [panel.bar]
    panel.dark = false
    panel.changed = true
  }
  drawTop(panel, session, clockView, nowSeconds, session.recipe)
  drawMiddle(panel, session, clockView, estimates, session.recipe)
}

/** The two small lines; whoever writes to the screen does it now, where `changed`, and takes the mark away. */
export function drawLower(
  panel: Panel,
  session: Session,
  clockView: ClockView,
  energyView: EnergyView,
  estimates: Estimates,
): void {
  if (panel.dark) return
  const nowSeconds = isNaN(estimates.nowSeconds) ? 0 : estimates.nowSeconds
  drawBottom(panel, session, clockView, energyView, nowSeconds, session.recipe)
}

/** What is to be heard: at every event, and once a second for what calls again. */
export function chooseTones(panel: Panel, session: Session, clockView: ClockView, estimates: Estimates): void {
  const nowSeconds = isNaN(estimates.nowSeconds) ? 0 : estimates.nowSeconds
  const tune = chooseTune(panel.calls, session, clockView, nowSeconds)
  panel.tonesChanged = tune !== undefined
  if (tune !== undefined) panel.tones = TUNES[tune]
}

/** Load is shed, nothing is asked, and nothing is wrong. */
function mayBeDark(session: Session, clockView: ClockView, energyView: EnergyView, nowSeconds: number): boolean {
  if (energyView.shedding === 0 || session.state !== 'turning') return false
  if (session.alarms.calling > 0 || session.refusal !== '') return false
  return clockView.cueAtSeconds - nowSeconds > LIT_BEFORE_CUE_SECONDS
}

function darken(panel: Panel): void {
  if (panel.dark) return
  panel.dark = true
  panel.changed = true
  for (let i = 0; i < panel.frame.lines.length; i++) panel.frame.lines[i].text = ''
  panel.frame.bars = []
}
