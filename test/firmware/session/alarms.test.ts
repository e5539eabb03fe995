/** The table of alarms and the latch behind it. */
import { expect, test } from 'vitest'
import {
  type Alarms,
  acknowledge,
  alarmHistory,
  clearCause,
  createAlarms,
  foremost,
  GONE_SECONDS,
  HISTORY_AT_MOST,
  isCalling,
  nextRaised,
  noteCause,
  raiseAlarm,
  resolveAlarm,
  standingAlarms,
  URGENT_AGAIN_SECONDS,
} from '../../../firmware/session/alarms.ts'
import {
  ALARMS,
  alarmPlace,
  explainAlarm,
  HOLD_STUCK,
  PACK_EMPTY,
  POUR_OUT_OVERDUE,
  PROBE_FAILED,
  SLIPPING,
} from '../../../firmware/session/alarmTable.ts'

/** Notes causes second by second and collects what is raised, by number; repeats are negative. */
function run(alarms: Alarms, fromSeconds: number, toSeconds: number, places: number[]): number[] {
  const raised: number[] = []
  for (let now = fromSeconds; now < toSeconds; now++) {
    for (const place of places) noteCause(alarms, place, now)
    for (let place = nextRaised(alarms, 1, now); place !== -1; place = nextRaised(alarms, 1, now)) {
      raised.push(place >= 0 ? ALARMS[place]!.number : -ALARMS[-2 - place]!.number)
    }
  }
  return raised
}

test('numbers rise and are used once, and every place constant is the place of its name', () => {
  const numbers = ALARMS.map(alarm => alarm.number)
  expect([...numbers].sort((a, b) => a - b)).toEqual(numbers)
  expect(new Set(numbers).size).toBe(numbers.length)
  expect(ALARMS[PROBE_FAILED]?.name).toBe('probeFailed')
  expect(ALARMS[SLIPPING]?.name).toBe('slipping')
  expect(ALARMS[PACK_EMPTY]?.name).toBe('packEmpty')
  expect(ALARMS[POUR_OUT_OVERDUE]?.name).toBe('pourOutOverdue')
  expect(ALARMS[HOLD_STUCK]?.name).toBe('holdStuck')
  expect(alarmPlace(41)).toBe(POUR_OUT_OVERDUE)
  expect(alarmPlace(99)).toBe(-1)
})

test('every alarm has a short text that fits the screen and a long one that says what to do', () => {
  for (const { number, short } of ALARMS) {
    expect(short).toMatch(/^[ -~]{5,21}$/)
    expect(explainAlarm(number), String(number)).toMatch(/^[ -~]{60,220}$/)
  }
  expect(explainAlarm(99)).toBe('')
  // Each has its own words, and no number has another's.
  expect(new Set(ALARMS.map(({ number }) => explainAlarm(number))).size).toBe(ALARMS.length)
})

test('a cause must last before it is raised', () => {
  const alarms = createAlarms()
  expect(run(alarms, 0, 5, [SLIPPING])).toEqual([])
  expect(run(alarms, 6, 8, [])).toEqual([])
  expect(run(alarms, 8, 13, [SLIPPING])).toEqual([])
  expect(run(alarms, 13, 14, [SLIPPING])).toEqual([21])
})

test('an alarm stands until a person acknowledges it, though its cause is gone', () => {
  const alarms = createAlarms()
  run(alarms, 0, 10, [PROBE_FAILED])
  run(alarms, 10, 300, [])
  expect(standingAlarms(alarms)).toEqual([10])
  expect(acknowledge(alarms, 300)).toBe(1)
  run(alarms, 301, 303, [])
  expect(standingAlarms(alarms)).toEqual([])
  expect(alarms).toMatchObject({ active: 0, standing: 0, calling: 0, callingUrgent: 0 })
})

test('a cause that outlives its acknowledgement calls again, without a second entry in the history', () => {
  const alarms = createAlarms()
  expect(run(alarms, 0, 10, [PROBE_FAILED])).toEqual([10])
  acknowledge(alarms, 10)
  expect(run(alarms, 11, 11 + URGENT_AGAIN_SECONDS, [PROBE_FAILED])).toEqual([-10])
  expect(alarmHistory(alarms)).toEqual([{ number: 10, bathIndex: 1, atSeconds: 2 }])
})

test('a cause that flickers after its acknowledgement is the same one; one that stayed away is new', () => {
  const alarms = createAlarms()
  run(alarms, 0, 10, [PROBE_FAILED])
  acknowledge(alarms, 10)
  run(alarms, 10, 10 + GONE_SECONDS - 2, [])
  expect(run(alarms, 18, 22, [PROBE_FAILED])).toEqual([])
  run(alarms, 22, 40, [])
  expect(run(alarms, 40, 45, [PROBE_FAILED])).toEqual([10])
})

test('a press at the moment in which an alarm is raised does not acknowledge it', () => {
  const alarms = createAlarms()
  raiseAlarm(alarms, PACK_EMPTY, 0, 100)
  expect(acknowledge(alarms, 100.4)).toBe(0)
  expect(isCalling(alarms, PACK_EMPTY)).toBe(true)
  expect(acknowledge(alarms, 101.2)).toBe(1)
})

test('raising what stands already changes nothing', () => {
  const alarms = createAlarms()
  expect(raiseAlarm(alarms, PACK_EMPTY, 0, 100)).toBe(true)
  expect(raiseAlarm(alarms, PACK_EMPTY, 0, 101)).toBe(false)
  expect(alarmHistory(alarms)).toHaveLength(1)
})

test('a cause that is cleared ends an acknowledged alarm at once and leaves one that calls', () => {
  const alarms = createAlarms()
  raiseAlarm(alarms, PACK_EMPTY, 0, 100)
  clearCause(alarms, PACK_EMPTY)
  expect(standingAlarms(alarms)).toEqual([33])
  acknowledge(alarms, 102)
  clearCause(alarms, PACK_EMPTY)
  expect(standingAlarms(alarms)).toEqual([])
})

test('what a person has answered is over', () => {
  const alarms = createAlarms()
  raiseAlarm(alarms, POUR_OUT_OVERDUE, 0, 100)
  resolveAlarm(alarms, POUR_OUT_OVERDUE)
  resolveAlarm(alarms, POUR_OUT_OVERDUE)
  expect(alarms).toMatchObject({ active: 0, standing: 0, calling: 0, callingUrgent: 0 })
})

test('the foremost alarm is urgent before mild and calling before acknowledged', () => {
  const alarms = createAlarms()
  expect(foremost(alarms)).toBe(-1)
  raiseAlarm(alarms, SLIPPING, 0, 100)
  expect(foremost(alarms)).toBe(SLIPPING)
  raiseAlarm(alarms, PACK_EMPTY, 0, 100)
  expect(foremost(alarms)).toBe(PACK_EMPTY)
  acknowledge(alarms, 102)
  raiseAlarm(alarms, HOLD_STUCK, 0, 103)
  expect(foremost(alarms)).toBe(HOLD_STUCK)
})

test('the history keeps the newest, oldest first', () => {
  const alarms = createAlarms()
  for (let i = 0; i < HISTORY_AT_MOST + 3; i++) {
    raiseAlarm(alarms, PACK_EMPTY, i, 100 + i)
    resolveAlarm(alarms, PACK_EMPTY)
  }
  const history = alarmHistory(alarms)
  expect(history.map(record => record.bathIndex)).toEqual(Array.from({ length: HISTORY_AT_MOST }, (_, i) => i + 3))
})

test('how many stand, call, and call urgently is right through every turn of an alarm', () => {
  const alarms = createAlarms()
  const counts = (): number[] => [alarms.active, alarms.standing, alarms.calling, alarms.callingUrgent]
  noteCause(alarms, SLIPPING, 0)
  expect(counts()).toEqual([1, 0, 0, 0])
  expect(foremost(alarms)).toBe(-1)
  run(alarms, 1, 2, [])
  expect(counts()).toEqual([0, 0, 0, 0])
  raiseAlarm(alarms, SLIPPING, 0, 10)
  expect(counts()).toEqual([1, 1, 1, 0])
  raiseAlarm(alarms, PACK_EMPTY, 0, 10)
  expect(counts()).toEqual([2, 2, 2, 1])
  expect(acknowledge(alarms, 12)).toBe(2)
  expect(counts()).toEqual([2, 2, 0, 0])
  expect([isCalling(alarms, SLIPPING), isCalling(alarms, PACK_EMPTY)]).toEqual([false, false])
  // Both causes last: after three quarters of a minute the urgent one calls again, after five minutes the mild one.
  const lasting = [SLIPPING, PACK_EMPTY]
  expect(run(alarms, 12, 12 + URGENT_AGAIN_SECONDS, lasting)).toEqual([])
  expect(run(alarms, 12 + URGENT_AGAIN_SECONDS, 13 + URGENT_AGAIN_SECONDS, lasting)).toEqual([-33])
  expect(counts()).toEqual([2, 2, 1, 1])
  resolveAlarm(alarms, SLIPPING)
  expect(counts()).toEqual([1, 1, 1, 1])
  resolveAlarm(alarms, PACK_EMPTY)
  expect(counts()).toEqual([0, 0, 0, 0])
  raiseAlarm(alarms, SLIPPING, 0, 100)
  resolveAlarm(alarms, SLIPPING)
  expect(counts()).toEqual([0, 0, 0, 0])
})

test('an alarm whose cause is away in this second does not call again', () => {
  const alarms = createAlarms()
  raiseAlarm(alarms, PACK_EMPTY, 0, 0)
  acknowledge(alarms, 2)
  run(alarms, 2, 40, [PACK_EMPTY])
  expect(run(alarms, 40, 48, [])).toEqual([])
  expect(run(alarms, 48, 49, [PACK_EMPTY])).toEqual([-33])
})

test('a cause that is cleared before it was raised is gone at once, and what is cleared has not been seen', () => {
  const alarms = createAlarms()
  noteCause(alarms, SLIPPING, 5)
  clearCause(alarms, SLIPPING)
  expect(alarms.active).toBe(0)
  raiseAlarm(alarms, PACK_EMPTY, 0, 10)
  clearCause(alarms, PACK_EMPTY)
  acknowledge(alarms, 12)
  run(alarms, 13, 14, [])
  expect(alarms.active).toBe(0)
})

test('of two alarms alike the first of the table is the foremost', () => {
  const alarms = createAlarms()
  raiseAlarm(alarms, POUR_OUT_OVERDUE, 0, 10)
  raiseAlarm(alarms, PACK_EMPTY, 0, 10)
  expect(foremost(alarms)).toBe(PACK_EMPTY)
})

test('before anything was raised the history is empty, and of no bath', () => {
  const alarms = createAlarms()
  expect(alarms.history).toHaveLength(HISTORY_AT_MOST)
  expect(alarms.history[0]).toEqual({ number: 0, bathIndex: -1, atSeconds: NaN })
  expect(alarmHistory(alarms)).toEqual([])
})
