/**
 * A rehearsal as text, one event a line: the same on every engine, to the last figure. Seconds are the base's; every
 * figure is rounded to what is left when engines disagree in the last bit of a number.
 */
import type { SessionEvent } from '../../firmware/session/events.ts'
import { figure } from './figures.ts'
import type { Rehearsal } from './rehearsal.ts'

/** `seconds event bath progress bound …` for what the session did in the last tick. */
export function eventLine(r: Rehearsal, event: SessionEvent): string {
  const view = r.base.clock.view
  const words = [
    figure(event.atSeconds, 2),
    event.kind,
    r.plant.recipe.baths[event.bathIndex].name.split(' ').join('-'),
    figure(view.progress, 6),
    figure(view.boundPercent, 4),
    figure(event.seconds, 2),
  ]
  if (event.number !== 0) words.push('' + event.number)
  if (event.reason !== '') words.push(event.reason)
  return words.join(' ')
}

/** Once in a while: what the firmware believes and what is true, of bath, progress, charge and rotation. */
export function telemetryLine(r: Rehearsal): string {
  const { base, plant } = r
  const { estimates } = base
  return [
    figure(estimates.nowSeconds, 2),
    base.session.state,
    'bath',
    figure(estimates.bathCelsius, 4),
    figure(plant.bath.bathCelsius, 4),
    'progress',
    figure(base.clock.view.progress, 6),
    figure(plant.bath.trueProgress, 6),
    'bound',
    figure(base.clock.view.boundPercent, 4),
    'charge',
    figure(base.energy.view.charge, 5),
    figure(plant.pack.charge, 5),
    'rpm',
    figure(estimates.tankRpm, 3),
    figure(plant.rollers.tankRpm, 3),
    'turns',
    figure(estimates.tankTurns, 4),
    figure(plant.rollers.tankTurns, 4),
  ].join(' ')
}
