/** The table of faults is whole, and what is drawn from it is what it says. */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { checkRecipe } from '../../../firmware/recipe/check.ts'
import { alarmPlace } from '../../../firmware/session/alarmTable.ts'
import { drawScenario, has } from '../../../sim/faults/draw.ts'
import { faultsPage } from '../../../sim/faults/page.ts'
import { eventName, withOnly } from '../../../sim/faults/scenario.ts'
import { alarmsOf, FAULT_NAMES, FAULTS } from '../../../sim/faults/table.ts'

test('every fault has a range that rises, a length, and alarms that exist', () => {
  expect(FAULT_NAMES.length).toBeGreaterThanOrEqual(60)
  for (const name of FAULT_NAMES) {
    const { range, lasts, times, unit, does, mustDo, tells } = FAULTS[name]
    expect(range[1] - range[0], name).toBeGreaterThanOrEqual(unit === '' ? 0 : 1e-6)
    if (lasts !== 'session') expect(lasts[1], name).toBeGreaterThanOrEqual(lasts[0])
    expect(times[0], name).toBeGreaterThanOrEqual(1)
    expect(does.length * mustDo.length, name).toBeGreaterThan(0)
    for (const number of alarmsOf(FAULTS[name]))
      expect(alarmPlace(number), `${name} ${number}`).toBeGreaterThanOrEqual(0)
    if (tells?.fromStrength !== undefined) expect(tells.fromStrength, name).toBeLessThanOrEqual(range[1])
  }
})

test('the page of faults in the tree is what npm run schema would write', () => {
  const page = readFileSync(new URL('../../../sim/faults/FAULTS.md', import.meta.url), 'utf8')
  expect(page).toBe(faultsPage())
  for (const name of FAULT_NAMES) expect(page).toContain(`**${name}**`)
})

test('the same seed draws the same session, another seed another one', () => {
  expect(JSON.stringify(drawScenario(17))).toBe(JSON.stringify(drawScenario(17)))
  expect(JSON.stringify(drawScenario(18).events)).not.toBe(JSON.stringify(drawScenario(17).events))
})

test('what is drawn lies within the table, on a base that has what it takes, with a recipe that passes the checker', () => {
  const drawn = new Set<string>()
  for (let seed = 1; seed <= 400; seed++) {
    const { run, events, possible } = drawScenario(seed)
    if (run.recipe.name === 'short')
      expect(checkRecipe(run.recipe).filter(problem => problem.severity === 'refused')).toEqual([])
    expect(events.length).toBe(possible.reduce((sum, one) => sum + one.times, 0))
    for (const event of events) {
      const { range, lasts, needs } = FAULTS[event.fault]
      drawn.add(event.fault)
      expect(has(run.base, needs), eventName(event)).toBe(true)
      expect(event.strength, eventName(event)).toBeGreaterThanOrEqual(range[0] - 1e-3 * Math.abs(range[0]))
      expect(event.strength, eventName(event)).toBeLessThanOrEqual(range[1] * (1 + 1e-3 * Math.sign(range[1])))
      if (lasts === 'session') expect(event.lastsSeconds).toBe(Infinity)
      else expect(event.lastsSeconds, eventName(event)).toBeLessThanOrEqual(lasts[1] * 1.001)
    }
  }
  expect([...drawn].sort()).toEqual([...FAULT_NAMES].sort())
})

test('fewer faults are left out and nothing else changes', () => {
  const whole = drawScenario(23)
  const names = whole.events.slice(0, 2).map(eventName)
  const part = withOnly(whole, names)
  expect(part.events).toEqual(whole.events.slice(0, 2))
  expect(part.run).toBe(whole.run)
  expect(withOnly(whole, [whole.events[0]!.fault]).events.every(event => event.fault === whole.events[0]!.fault)).toBe(
    true,
  )
})
