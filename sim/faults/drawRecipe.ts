/**
 * Short recipes for the campaign: everything that a shipped one has, in a few minutes, so that ten thousand sessions end
 * while somebody waits. Every recipe drawn passes the checker, which a test holds them to.
 */
import type { Agitation, Bath, Recipe } from '../../firmware/recipe/recipe.ts'
import { between, type Random, uniform } from '../plant/random.ts'

function tenths(value: number): number {
  return Math.round(value * 10) / 10
}

function drawAgitation(random: Random): Agitation {
  const rpm = Math.round(between(random, 25, 60))
  return {
    rpm,
    legTurns: tenths(between(random, 0.8, 4)),
    restSeconds: uniform(random) < 0.5 ? 0.2 : tenths(between(random, 0, 3)),
    rampSeconds: tenths(between(random, 0.3, 1)),
    stagger: uniform(random) < 0.7,
    ...(uniform(random) < 0.5 && {
      opening: { rpm: Math.min(70, rpm + 15), seconds: Math.round(between(random, 4, 15)) },
    }),
    ...(uniform(random) < 0.5 && { leastRpm: Math.round(rpm * 0.7) }),
    ...(uniform(random) < 0.2 && { netTurnsAtMost: 6 }),
  }
}

function drawDeveloper(random: Random): Bath {
  const warm = Math.round(between(random, 20, 38))
  const seconds = Math.round(between(random, 90, 200))
  return {
    name: 'developer',
    kind: 'developed',
    rows: [
      [warm - 8, Math.round(seconds * between(random, 1.5, 2.4))],
      [warm, seconds],
    ],
    ...(uniform(random) < 0.6 && { usableCelsius: [warm - 8, warm + 2] as [number, number] }),
    startsWhen: uniform(random) < 0.8 ? 'contact' : 'full',
    agitation: 'even',
  }
}

/** A recipe of two to four baths, of three to ten minutes in all. */
export function drawShortRecipe(random: Random): Recipe {
  const baths: Bath[] = []
  if (uniform(random) < 0.5) {
    baths.push({ name: 'prewet', kind: 'timed', seconds: Math.round(between(random, 30, 60)), agitation: 'even' })
  }
  baths.push(drawDeveloper(random))
  if (uniform(random) < 0.3) {
    baths.push({ name: 'stop', kind: 'timed', seconds: Math.round(between(random, 30, 50)), agitation: 'even' })
  }
  baths.push({ name: 'fixer', kind: 'atLeast', seconds: Math.round(between(random, 40, 120)), agitation: 'even' })
  return {
    name: 'short',
    title: 'Short session',
    note: 'Drawn for the fault campaign.',
    pour: { fillSeconds: Math.round(between(random, 3, 8)), drainSeconds: Math.round(between(random, 4, 10)) },
    baths,
    agitations: { even: drawAgitation(random) },
  }
}
