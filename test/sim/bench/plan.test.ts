import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { planSession, planText } from '../../../sim/bench/plan.ts'
import { bathJoulesPerKelvin, endCelsius, mixedCelsius, mixedForMean, pourHeat } from '../../../sim/bench/pourHeat.ts'
import { bwNegative, colourNegative, colourReversal } from '../../../sim/bench/shippedRecipes.ts'

const shipped = [colourNegative, colourReversal, bwNegative]

test('every shipped recipe has a plan whose numbers are numbers', () => {
  for (const recipe of shipped) {
    for (const roomCelsius of [10, 20, 32]) {
      const plan = planSession(recipe, defaultTank, defaultBase, { roomCelsius })
      const back = JSON.parse(JSON.stringify(plan))
      expect(back).toEqual(plan)
      for (const key of [
        'leastMillilitres',
        'advisedMillilitres',
        'standingMillilitres',
        'savedFraction',
        'seconds',
        'chargeNeeded',
        'chargeLeft',
        'sessionsLeft',
      ] as const) {
        expect(isFinite(plan[key]), key).toBe(true)
      }
      expect(plan.pourCelsius[0]).toBeLessThan(plan.pourCelsius[1])
      expect(plan.advisedMillilitres).toBeGreaterThanOrEqual(plan.leastMillilitres)
      expect(plan.savedFraction).toBeCloseTo(1 - plan.advisedMillilitres / plan.standingMillilitres, 9)
    }
  }
})

test('rubbish among the options is taken as left out', () => {
  const plain = planSession(colourNegative, defaultTank, defaultBase, {})
  const odd = planSession(colourNegative, defaultTank, defaultBase, {
    films: NaN,
    reelsInUse: -3,
    roomCelsius: Infinity,
    startCharge: 7,
    filmsThrough: NaN,
  })
  expect(odd).toEqual(plain)
})

test('poured as planned, a step-by-step bath starts at the end of its sheet and no warmer, and stays within its range', () => {
  const roomCelsius = 18
  const plan = planSession(colourNegative, defaultTank, defaultBase, { roomCelsius })
  const developer = plan.baths[1]
  const bath = bathJoulesPerKelvin(plan.advisedMillilitres)
  const heat = pourHeat(defaultTank, plan.advisedMillilitres)
  const run = (pour: number): { mean: number; start: number } => {
    const joules = bath * pour + defaultTank.heatJoulesPerKelvin * developer.tankCelsius
    const start = joules / (bath + defaultTank.heatJoulesPerKelvin)
    let celsius = start
    let sum = 0
    for (let i = 0; i < 195; i++) {
      sum += celsius / 195
      celsius += (roomCelsius - celsius) / heat.coolingSeconds
    }
    return { mean: sum, start }
  }
  // What a developer warmer than its sheet does nobody has printed; cooler, it only takes longer.
  expect(run(developer.aimPourCelsius).start).toBeCloseTo(37.8, 1)
  expect(run(developer.aimPourCelsius).mean).toBeGreaterThan(37)
  const [low, high] = plan.pourCelsius
  expect(run(high).start).toBeLessThan(39.1)
  expect(run(low).mean).toBeGreaterThan(29.9)
})

test('into a cold dry tank a colour developer has to be poured some degrees warmer than it should become', () => {
  const heat = pourHeat(defaultTank, 280)
  const mixed = mixedForMean(heat, 37.8, 20, 195)
  expect(mixedCelsius(heat, 42.3, 20)).toBeGreaterThan(37.8)
  expect(endCelsius(heat, mixed, 20, 195)).toBeLessThan(37.8)
  expect(mixed).toBeGreaterThan(37.8)
})

test('a tank cools as slowly as published estimates say: one to three hours', () => {
  // Lumped estimates at 5 to 10 W/(m2 K), 0.3 to 1 L closed cylinders: 84 to 249 min; little liquid in a large tank is faster.
  for (const millilitres of [280, 580]) {
    const minutes = pourHeat(defaultTank, millilitres).coolingSeconds / 60
    expect(minutes).toBeGreaterThan(40)
    expect(minutes).toBeLessThan(180)
  }
})

test('more films, a colder room or a lower pack never make the plan look better', () => {
  const one = planSession(colourNegative, defaultTank, defaultBase, { films: 1 })
  const four = planSession(colourNegative, defaultTank, defaultBase, { films: 4 })
  expect(four.advisedMillilitres).toBeGreaterThan(one.advisedMillilitres)
  expect(four.cautions.length).toBeGreaterThan(one.cautions.length)
  const warm = planSession(colourNegative, defaultTank, defaultBase, { roomCelsius: 25 })
  const cold = planSession(colourNegative, defaultTank, defaultBase, { roomCelsius: 12 })
  expect(cold.baths[0].aimPourCelsius).toBeGreaterThan(warm.baths[0].aimPourCelsius)
  expect(cold.sessionsLeft).toBeLessThan(warm.sessionsLeft)
  const low = planSession(colourNegative, defaultTank, defaultBase, { startCharge: 0.08 })
  expect(low.sessionsLeft).toBe(0)
  expect(low.cautions.join(' ')).toContain('charge it')
})

test('old or spent solutions and unknown baths are said', () => {
  const plan = planSession(bwNegative, defaultTank, defaultBase, {
    solutions: [
      { bath: 'developer', mixedDays: 100, filmsThrough: 14 },
      { bath: 'soup', mixedDays: 1 },
      { bath: 'fixer' },
    ],
  })
  const text = plan.cautions.join('\n')
  expect(text).toContain('takes 1 more film')
  expect(text).toContain('70 days over')
  expect(text).toContain('"soup"')
  expect(plan.shelf[1]).toMatchObject({ bath: 'fixer', filmsLeft: null, daysLeft: null })
})

test('films already through lengthen the developer and with it the session', () => {
  const fresh = planSession(colourNegative, defaultTank, defaultBase, {})
  const used = planSession(colourNegative, defaultTank, defaultBase, { filmsThrough: 6 })
  expect(used.seconds).toBeGreaterThan(fresh.seconds)
  // 2 % a film; and a longer bath cools further, which makes it a little longer still.
  const ratio = used.baths[1].seconds / fresh.baths[1].seconds
  expect(ratio).toBeGreaterThan(1.12)
  expect(ratio).toBeLessThan(1.14)
})

test('the text says what to mix, how warm, how long and whether the pack lasts, in plain lines', () => {
  for (const recipe of shipped) {
    const text = planText(planSession(recipe, defaultTank, defaultBase, {}))
    for (const word of ['Mix', 'Pour', 'Time', 'Pack', 'mL', 'saved']) expect(text).toContain(word)
    expect(text).not.toMatch(/NaN|undefined|Infinity/)
    expect(text.endsWith('\n')).toBe(true)
    for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(80)
  }
})

test('common practice, no source: a small pack does about five colour sessions; printed with what this one does', () => {
  const plan = planSession(colourNegative, defaultTank, defaultBase, {})
  console.log(
    `colour negative: ${plan.sessionsPerCharge.toFixed(1)} sessions on 2 x ${defaultBase.pack.capacityMilliampHours} mAh, ` +
      `${plan.neededJoules.toFixed(0)} J each (about five are quoted, pack and drive not named; 250 mAh of cells would do for five here)`,
  )
  expect(plan.sessionsPerCharge).toBeGreaterThan(3)
  expect(plan.sessionsPerCharge).toBeLessThan(15)
})

test('more than the tank holds lying is said with the limit and the films that fit, and never called lying', () => {
  const three = planSession(colourNegative, defaultTank, defaultBase, { films: 3 })
  expect(three.leastMillilitres).toBeGreaterThan(three.mostLyingMillilitres)
  const text = planText(three).replace(/\s+/g, ' ')
  expect(text).toContain('more than the 330 mL that the tank holds lying')
  expect(text).not.toContain('tank lying.')
  expect(text).toContain('Develop 2 films at a time')
  expect(planText(planSession(colourNegative, defaultTank, defaultBase, {}))).toContain('2 films, tank lying.')
})

test('what is advised never stands above the axis when the least does not', () => {
  for (let perFilm = 100; perFilm < 200; perFilm += 1) {
    const recipe = {
      ...bwNegative,
      baths: bwNegative.baths.map(bath => ({ ...bath, millilitresPerFilm: perFilm })),
    }
    const plan = planSession(recipe, defaultTank, defaultBase, {})
    expect(plan.advisedMillilitres).toBeGreaterThanOrEqual(plan.leastMillilitres)
    if (plan.leastMillilitres <= plan.mostLyingMillilitres) {
      expect(plan.advisedMillilitres).toBeLessThanOrEqual(plan.mostLyingMillilitres)
    }
  }
})

test('a developer lengthened by a fifth and more without a last film on its sheet may be exhausted: that is said', () => {
  const cautions = (filmsThrough: number): string =>
    planSession(colourNegative, defaultTank, defaultBase, { filmsThrough }).cautions.join(' ')
  expect(cautions(10)).not.toContain('exhausted')
  expect(cautions(11)).toContain('developer: 11 films through a litre make it 22 % longer')
  expect(cautions(40)).toContain('exhausted')
})
