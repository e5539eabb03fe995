/**
 * What one key of a recipe asks of another: names that must exist or differ, figures that would not be used, times that
 * are too short. Works on unchecked values, so that these problems are listed together with those of single keys;
 * what is not of the right type is passed over, because the table has refused it already.
 */

import { nearest } from './nearest.ts'
import { asFields, type Fields, has, own, ownNumber } from './ownKeys.ts'
import { describe, type Problems, placeOf, quote, refuse, warn } from './problem.ts'
import { SHORTEST_DEVELOPED_SECONDS } from './shortTimes.ts'

const BATHS_AT_MOST = 16
const AGITATIONS_AT_MOST = 16

/** Adds to `problems` what the parts of a recipe ask of each other. */
export function checkRelations(problems: Problems, recipe: unknown): void {
  const fields = asFields(recipe)
  const agitations = asFields(own(fields, 'agitations'))
  const list = own(fields, 'baths')
  const baths: unknown[] = Array.isArray(list) ? list : []
  const pour = asFields(own(fields, 'pour'))
  const pourSeconds = ownNumber(pour, 'fillSeconds') + ownNumber(pour, 'drainSeconds')
  for (let i = 0; i < baths.length && i < BATHS_AT_MOST; i++) {
    const bath = asFields(baths[i])
    if (bath === undefined) continue
    if (problems.onEntry !== undefined) problems.onEntry()
    const place = placeOf('baths', i)
    checkNameUsedOnce(problems, baths, i, place)
    checkAgitationKnown(problems, bath, agitations, place)
    checkUnused(problems, bath, place)
    checkRotary(problems, bath, place)
    checkTimes(problems, bath, pourSeconds, place)
    checkUsable(problems, bath, place)
  }
  if (agitations !== undefined) checkAgitations(problems, agitations, baths)
}

function checkNameUsedOnce(problems: Problems, baths: unknown[], index: number, place: string): void {
  const name = own(asFields(baths[index]), 'name')
  if (typeof name !== 'string') return
  for (let i = 0; i < index; i++) {
    if (own(asFields(baths[i]), 'name') !== name) continue
    const found = quote(name) + ', the name of ' + placeOf('baths', i)
    refuse(problems, 'relation', placeOf(place, 'name'), found, 'a name that no other bath has', '')
    return
  }
}

function checkAgitationKnown(problems: Problems, bath: Fields, agitations: Fields | undefined, place: string): void {
  const name = own(bath, 'agitation')
  if (agitations === undefined || typeof name !== 'string' || has(agitations, name)) return
  const known = keysOf(agitations)
  const near = nearest(name, known)
  const allowed = 'a key of agitations: ' + (known.length === 0 ? 'there is none' : known.join(', '))
  refuse(
    problems,
    'relation',
    placeOf(place, 'agitation'),
    quote(name),
    allowed,
    near === '' ? '' : 'did you mean ' + near + '?',
  )
}

/** The first keys of an object, as many as are allowed. */
function keysOf(fields: Fields): string[] {
  const keys: string[] = []
  for (const key in fields) {
    if (keys.length < AGITATIONS_AT_MOST && has(fields, key)) keys.push(key)
  }
  return keys
}

const COEFFICIENT_KEYS = ['seconds', 'atCelsius', 'coefficientPer10C']

/** Keys that say something which this kind of bath does not look at. */
function checkUnused(problems: Problems, bath: Fields, place: string): void {
  const kind = own(bath, 'kind')
  if (kind === 'timed' || kind === 'atLeast') {
    const idle = ['rows', 'rowsFor', 'atCelsius', 'coefficientPer10C']
    warnUnused(problems, bath, idle, place, kind + ' goes by seconds alone')
  }
  if (kind !== 'developed' || !has(bath, 'rows')) return
  // All three beside rows are refused by the table: a second answer, and which one is meant is not ours to choose.
  for (let i = 0; i < COEFFICIENT_KEYS.length; i++) {
    if (has(bath, COEFFICIENT_KEYS[i])) continue
    warnUnused(problems, bath, COEFFICIENT_KEYS, place, 'the rows decide')
    return
  }
}

function warnUnused(problems: Problems, bath: Fields, keys: string[], place: string, why: string): void {
  for (let i = 0; i < keys.length; i++) {
    if (has(bath, keys[i])) warn(problems, placeOf(place, keys[i]), keys[i] + ', which is not used', 'left out', why)
  }
}

function checkRotary(problems: Problems, bath: Fields, place: string): void {
  const rowsFor = own(bath, 'rowsFor')
  const factor = has(bath, 'rotaryFactor')
  if (rowsFor === 'intermittent' && !factor && own(bath, 'kind') === 'developed') {
    const allowed = 'a rotaryFactor beside it; 1 is taken'
    const hint = 'makers advise up to 15 % less time when rotating (0.85), for some films none (1)'
    warn(problems, placeOf(place, 'rowsFor'), 'times for intermittent agitation', allowed, hint)
  }
  if (rowsFor === 'rotary' && factor && own(bath, 'rotaryFactor') !== 1) {
    const found = describe(own(bath, 'rotaryFactor')) + ' on times for rotary agitation'
    warn(problems, placeOf(place, 'rotaryFactor'), found, 'left out, or 1', 'it counts all the same')
  }
}

/** The seconds of the warmest row, or `seconds`; NaN where neither can be read. */
function shortestSheetSeconds(bath: Fields): number {
  const rows = own(bath, 'rows')
  if (!Array.isArray(rows) || rows.length === 0 || own(bath, 'kind') !== 'developed') return ownNumber(bath, 'seconds')
  const last: unknown = rows[Math.min(rows.length, 12) - 1]
  const seconds: unknown = Array.isArray(last) ? last[1] : undefined
  return typeof seconds === 'number' ? seconds : NaN
}

function factorOf(bath: Fields, key: string): number {
  const factor = ownNumber(bath, key)
  return isNaN(factor) ? 1 : factor
}

function checkTimes(problems: Problems, bath: Fields, pourSeconds: number, place: string): void {
  const seconds = shortestSheetSeconds(bath) * factorOf(bath, 'timeFactor') * factorOf(bath, 'rotaryFactor')
  const at = placeOf(place, has(bath, 'rows') ? 'rows' : 'seconds')
  if (own(bath, 'kind') === 'developed' && seconds < SHORTEST_DEVELOPED_SECONDS) {
    const allowed = 'at least ' + SHORTEST_DEVELOPED_SECONDS + ' s for even development in a rotating tank'
    warn(problems, at, Math.round(seconds) + ' s at the warmest', allowed, 'use it cooler or more dilute')
  }
  if (seconds <= pourSeconds) {
    const allowed = 'more than filling and draining take, ' + pourSeconds + ' s'
    warn(problems, at, Math.round(seconds) + ' s', allowed, 'the drain ends after the time is over')
  }
}

function checkUsable(problems: Problems, bath: Fields, place: string): void {
  const usable = own(bath, 'usableCelsius')
  const rows = own(bath, 'rows')
  if (!Array.isArray(usable) || !Array.isArray(rows) || rows.length === 0) return
  if (typeof usable[0] !== 'number' || typeof usable[1] !== 'number' || !(usable[0] < usable[1])) return
  const first: unknown = Array.isArray(rows[0]) ? rows[0][0] : undefined
  const last: unknown = Array.isArray(rows[rows.length - 1]) ? rows[rows.length - 1][0] : undefined
  if (typeof first !== 'number' || typeof last !== 'number' || !(last < usable[0] || first > usable[1])) return
  warn(
    problems,
    placeOf(place, 'usableCelsius'),
    describe(usable[0]) + ' to ' + describe(usable[1]) + ' C',
    'a range that the rows, ' + first + ' to ' + last + ' C, reach into',
    '',
  )
}

function checkAgitations(problems: Problems, agitations: Fields, baths: unknown[]): void {
  const keys = keysOf(agitations)
  for (let i = 0; i < keys.length; i++) {
    const place = placeOf('agitations', keys[i])
    if (!usedBy(baths, keys[i])) warn(problems, place, 'an agitation that no bath uses', 'used or left out', '')
    const agitation = asFields(agitations[keys[i]])
    if (agitation !== undefined) checkAgitation(problems, agitation, place)
  }
}

function usedBy(baths: unknown[], agitation: string): boolean {
  for (let i = 0; i < baths.length && i < BATHS_AT_MOST; i++) {
    if (own(asFields(baths[i]), 'agitation') === agitation) return true
  }
  return false
}

function checkAgitation(problems: Problems, agitation: Fields, place: string): void {
  const rpm = ownNumber(agitation, 'rpm')
  const legTurns = ownNumber(agitation, 'legTurns')
  const netTurns = ownNumber(agitation, 'netTurnsAtMost')
  const opening = asFields(own(agitation, 'opening'))
  const openingTurns = (ownNumber(opening, 'rpm') * ownNumber(opening, 'seconds')) / 60
  if (ownNumber(agitation, 'leastRpm') > rpm) {
    const found = describe(own(agitation, 'leastRpm'))
    refuse(problems, 'relation', placeOf(place, 'leastRpm'), found, 'no more than rpm, ' + rpm, '')
  }
  const rampTurns = (rpm / 60) * ownNumber(agitation, 'rampSeconds')
  if (legTurns < rampTurns) {
    const allowed = 'at least ' + rampTurns.toFixed(2) + ', what the ramps alone turn'
    warn(problems, placeOf(place, 'legTurns'), describe(legTurns), allowed, 'such legs never reach the speed')
  }
  if (legTurns > netTurns) {
    const allowed = 'no more than netTurnsAtMost, ' + netTurns
    warn(problems, placeOf(place, 'legTurns'), describe(legTurns), allowed, 'legs end early at the bound')
  }
  if (openingTurns > netTurns) {
    const found = 'about ' + openingTurns.toFixed(1) + ' turns one way'
    const allowed = 'no more than netTurnsAtMost, ' + netTurns
    warn(problems, placeOf(place, 'opening'), found, allowed, 'the opening spell ends early at the bound')
  }
}
