/** What the screen shows and the sounder plays, in every state and with every alarm. */
import { expect, test } from 'vitest'
import { createPanel, type Panel, updatePanel } from '../../../firmware/panel/panel.ts'
import { TUNES } from '../../../firmware/panel/tunes.ts'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { refusePress } from '../../../firmware/session/act.ts'
import { raiseAlarm } from '../../../firmware/session/alarms.ts'
import { ALARMS } from '../../../firmware/session/alarmTable.ts'
import { type SessionHappening, type SessionState, TRANSITIONS } from '../../../firmware/session/table.ts'
import { say } from '../../../firmware/session/turnTest.ts'
import type { ScreenFrame } from '../../../hal/board.ts'
import { panelText } from '../../../sim/report/panelText.ts'
import { advance, createRig, giveCue, hold, RECIPE, type Rig, tick, toTurning, wait } from '../session/support.ts'

const STATES = Object.keys(TRANSITIONS) as SessionState[]

function update(panel: Panel, rig: Rig): void {
  updatePanel(panel, rig.session, rig.clock, rig.energy, rig.estimates)
}

/** Ticks session and panel together for some seconds; gives the tunes that were begun, by name. */
function listen(panel: Panel, rig: Rig, seconds: number): string[] {
  const heard: string[] = []
  for (let i = 0; i < Math.round(seconds * 10); i++) {
    tick(rig)
    update(panel, rig)
    if (panel.tonesChanged) heard.push(nameOf(panel))
  }
  return heard
}

function nameOf(panel: Panel): string {
  const found = Object.entries(TUNES).find(([, tones]) => tones === panel.tones)
  return found === undefined ? '?' : found[0]
}

function mustFit(frame: ScreenFrame, what: string): void {
  for (const line of frame.lines) {
    expect(line.text, what).toMatch(/^[ -~]*$/)
    expect(line.x + line.text.length * line.size * 0.75, `${what}: ${line.text}`).toBeLessThanOrEqual(128)
    expect(line.y + line.size, what).toBeLessThanOrEqual(64)
  }
  for (const bar of frame.bars) {
    expect(bar.filled >= 0 && bar.filled <= 1, what).toBe(true)
    expect(bar.x + bar.width).toBeLessThanOrEqual(128)
  }
  const shown = frame.lines.filter(line => line.text !== '')
  for (const a of shown) {
    for (const b of shown)
      if (a !== b && a.x === b.x) expect(a.y + a.size <= b.y || b.y + b.size <= a.y, what).toBe(true)
  }
}

const LONG: Recipe = {
  ...RECIPE,
  baths: Array.from({ length: 16 }, (_, i) => ({
    name: `a very long ba${String(i).padStart(2, '0')}`,
    kind: 'developed' as const,
    rows: [
      [30, 480],
      [37.8, 195],
    ] as [number, number][],
    agitation: 'even',
  })),
}

test('nothing overflows the screen, for every state, alarm, long name and figure', () => {
  const figures = [0, -5, 7.4, 59.9, 600, 5999, 1e7, NaN, Infinity, -Infinity]
  for (const state of STATES) {
    for (let place = -1; place < ALARMS.length; place++) {
      const rig = createRig(LONG)
      rig.session.state = state
      rig.session.bathIndex = 15
      rig.session.underway.contents = place % 2 === 0 ? 'full' : 'empty'
      if (place >= 0) raiseAlarm(rig.session.alarms, place, 0, rig.estimates.nowSeconds)
      for (const figure of figures) {
        const panel = createPanel()
        rig.clock.cueAtSeconds = rig.estimates.nowSeconds + figure
        rig.session.cueSeconds = rig.estimates.nowSeconds - figure
        rig.session.underway.sinceSeconds = rig.estimates.nowSeconds - figure
        rig.estimates.bathCelsius = figure
        rig.clock.progress = figure
        rig.clock.boundPercent = figure
        rig.clock.bridging = place % 3 === 0
        rig.energy.charge = figure
        rig.energy.enough = place % 5 !== 0
        update(panel, rig)
        mustFit(panel.frame, `${state} ${place} ${figure}`)
        expect(panel.changed).toBe(true)
      }
    }
  }
})

test('every refusal is shown whole, in two lines, and goes after some seconds', () => {
  for (const state of STATES) {
    for (const happening of Object.keys(TRANSITIONS[state]) as SessionHappening[]) {
      const { refusal } = TRANSITIONS[state][happening]
      if (refusal === '') continue
      const rig = createRig()
      const panel = createPanel()
      rig.session.state = state
      refusePress(rig.session, refusal, rig.estimates.nowSeconds)
      update(panel, rig)
      expect(`${panel.name.text} ${panel.bottom.text}`.trim()).toBe(refusal)
      expect(panel.name.inverse).toBe(true)
      mustFit(panel.frame, refusal)
      rig.session.state = 'planned'
      listen(panel, rig, 6)
      expect(panel.name.inverse).toBe(false)
    }
  }
})

test('the screen says what to do now, in every state', () => {
  const words: Record<SessionState, RegExp> = {
    planned: /POUR IN/,
    ready: /POUR IN/,
    filling: /FILLING/,
    fillingDue: /POUR OUT/,
    turning: /^2:20$/,
    due: /POUR OUT/,
    held: /ON HOLD/,
    heldDue: /POUR OUT/,
    stopped: /BY HAND/,
    stoppedDue: /POUR OUT/,
    draining: /DRAINING/,
    finished: /DONE/,
    abandoned: /ABANDONED/,
  }
  for (const state of STATES) {
    const rig = createRig()
    const panel = createPanel()
    rig.session.state = state
    rig.session.underway.sinceSeconds = rig.estimates.nowSeconds
    rig.clock.cueAtSeconds = rig.estimates.nowSeconds + 140
    update(panel, rig)
    expect(panel.top.text).toMatch(words[state])
  }
})

test('a turning tank shows the time left, its temperature, its bath and that all is well', () => {
  const rig = createRig()
  const panel = createPanel()
  toTurning(rig)
  rig.clock.cueAtSeconds = rig.estimates.nowSeconds + 95
  rig.clock.progress = 0.5
  rig.clock.boundPercent = 1.23
  rig.clock.bridging = true
  update(panel, rig)
  expect(panelText(panel.frame)).toBe(
    [
      '+----------------------+',
      '|                      |',
      '|1   :   3   5         |',
      '|=== === === ===       |',
      '|=== === === ===       |',
      '|~ 3 7 . 8 C  [###...] |',
      '|- - - - - -           |',
      '|prewet            1/3 |',
      '|OK pack 80%    +-1.2% |',
      '+----------------------+',
    ].join('\n'),
  )
})

test('a bath out of range is said at once, long before it is an alarm', () => {
  const rig = createRig()
  const panel = createPanel()
  toTurning(rig)
  rig.clock.outsideSheet = true
  update(panel, rig)
  expect(panel.bottom.text.trim()).toBe('Off the sheet')
  rig.clock.usable = 'tooWarm'
  tick(rig)
  listen(panel, rig, 1)
  expect(panel.bottom.text.trim()).toBe('Warm bath')
  expect(rig.alarms).toEqual([])
})

test('a charge that flickers does not redraw the screen', () => {
  const rig = createRig()
  const panel = createPanel()
  listen(panel, rig, 2)
  rig.energy.charge += 0.006
  listen(panel, rig, 1)
  expect(panel.bottom.text).toBe('OK pack 80%')
  rig.energy.charge += 0.006
  listen(panel, rig, 1)
  expect(panel.bottom.text).toBe('OK pack 81%')
})

test('before a pour the screen says what to pour in and how warm', () => {
  const rig = createRig()
  const panel = createPanel()
  rig.session.bathIndex = 1
  rig.session.state = 'ready'
  update(panel, rig)
  expect([panel.top.text, panel.second.text, panel.celsius.text]).toEqual(['POUR IN', 'developer', '30-39C'])
})

test('an alarm stands dark on light until it is acknowledged', () => {
  const rig = createRig()
  const panel = createPanel()
  toTurning(rig)
  rig.estimates.bridging = true
  listen(panel, rig, 6)
  expect(panel.bottom).toMatchObject({ text: 'Probe? By model now', inverse: true })
  advance(rig)
  update(panel, rig)
  expect(panel.bottom).toMatchObject({ text: 'Probe? By model now', inverse: false })
})

test('the frame changes only when what it shows does, at most once a second in peace', () => {
  const rig = createRig()
  const panel = createPanel()
  toTurning(rig)
  rig.clock.cueAtSeconds = rig.estimates.nowSeconds + 300
  update(panel, rig)
  let changes = 0
  for (let i = 0; i < 600; i++) {
    tick(rig)
    update(panel, rig)
    if (panel.changed) changes++
  }
  expect(changes).toBe(60)
  rig.session.state = 'finished'
  listen(panel, rig, 2)
  for (let i = 0; i < 300; i++) {
    tick(rig)
    update(panel, rig)
    expect(panel.changed).toBe(false)
  }
})

test('frame, lines and tunes are the same objects for ever', () => {
  const rig = createRig()
  const panel = createPanel()
  update(panel, rig)
  const { frame, top } = panel
  const lines = [...frame.lines]
  toTurning(rig)
  giveCue(rig)
  update(panel, rig)
  expect(panel.frame).toBe(frame)
  expect(panel.top).toBe(top)
  expect(panel.frame.lines.every((line, i) => line === lines[i])).toBe(true)
  expect(Object.values(TUNES)).toContain(panel.tones)
})

test('to save charge the screen goes dark while nothing is asked, and lights up for whatever is', () => {
  const rig = createRig()
  const panel = createPanel()
  toTurning(rig)
  rig.session.insistedOnCharge = true
  rig.energy.shedding = 1
  rig.clock.cueAtSeconds = rig.estimates.nowSeconds + 120
  listen(panel, rig, 2)
  expect(panel.dark).toBe(true)
  expect(panelText(panel.frame)).not.toMatch(/[^-+| \n]/)
  advance(rig)
  update(panel, rig)
  expect(panel.dark).toBe(false)
  expect(panel.changed).toBe(true)
  rig.clock.cueAtSeconds = rig.estimates.nowSeconds + 8
  listen(panel, rig, 6)
  expect(panel.dark).toBe(false)
})

test('pour out is warned of once, then called every few seconds until a press answers', () => {
  const rig = createRig()
  const panel = createPanel()
  toTurning(rig)
  listen(panel, rig, 5)
  rig.clock.cueAtSeconds = rig.estimates.nowSeconds + 12
  expect(listen(panel, rig, 12)).toEqual(['comingSoon'])
  rig.clock.due = true
  expect(listen(panel, rig, 16)).toEqual(['pourOut', 'pourOut', 'pourOut', 'pourOut'])
  advance(rig)
  update(panel, rig)
  expect(nameOf(panel)).toBe('taken')
  expect(listen(panel, rig, 8)).toEqual([])
})

test('the pour-out call and an urgent alarm take turns', () => {
  const rig = createRig()
  const panel = createPanel()
  toTurning(rig)
  rig.clock.due = true
  rig.estimates.bridging = true
  const heard = listen(panel, rig, 20)
  expect(heard.filter(name => name === 'pourOut').length).toBeGreaterThanOrEqual(2)
  expect(heard.filter(name => name === 'alarmUrgent').length).toBeGreaterThanOrEqual(2)
})

test('no presses, however many, keep the pour-out from being called', () => {
  for (const everySeconds of [0.4, 0.7, 1, 1.3, 1.4]) {
    for (const urgent of [false, true]) {
      const rig = createRig()
      const panel = createPanel()
      toTurning(rig)
      giveCue(rig)
      if (urgent) raiseAlarm(rig.session.alarms, ALARMS.length - 3, 1, rig.estimates.nowSeconds)
      let calledSeconds = 0
      let pressedSeconds = 0
      for (let i = 0; i < 600; i++) {
        tick(rig)
        if (i * 0.1 - pressedSeconds >= everySeconds) {
          pressedSeconds = i * 0.1
          refusePress(rig.session, 'No', rig.estimates.nowSeconds)
        }
        update(panel, rig)
        if (panel.tonesChanged && nameOf(panel) === 'pourOut') calledSeconds = i * 0.1
        expect(i * 0.1 - calledSeconds, `pressed every ${everySeconds} s`).toBeLessThan(11.5)
      }
    }
  }
})

test('words that wait for a hand give way to an alarm that calls', () => {
  const rig = createRig()
  const panel = createPanel()
  toTurning(rig)
  say(rig.session, 'Asked from afar: press hold to go on', rig.estimates.nowSeconds + 30)
  listen(panel, rig, 2)
  expect(panel.bottom.text).toContain('hold to go on')
  raiseAlarm(rig.session.alarms, 0, 0, rig.estimates.nowSeconds)
  listen(panel, rig, 2)
  expect(panel.bottom).toMatchObject({ text: ALARMS[0].short, inverse: true })
})

test('a hold is called out until it ends', () => {
  const rig = createRig()
  const panel = createPanel()
  toTurning(rig)
  update(panel, rig)
  hold(rig)
  update(panel, rig)
  expect(listen(panel, rig, 20).filter(name => name === 'held')).toHaveLength(4)
  hold(rig)
  update(panel, rig)
  expect(listen(panel, rig, 20)).toEqual([])
})

test('film that waits after a developer is reminded of more often', () => {
  const rig = createRig()
  const panel = createPanel()
  const reminders = (): number => {
    toTurning(rig)
    giveCue(rig)
    advance(rig)
    rig.clock.due = false
    wait(rig, 10)
    advance(rig)
    update(panel, rig)
    expect(nameOf(panel)).toBe('pourIn')
    return listen(panel, rig, 40).length
  }
  const afterPrewet = reminders()
  expect(afterPrewet).toBeGreaterThanOrEqual(1)
  expect(reminders()).toBeGreaterThan(2 * afterPrewet)
})

test('a press that was understood clicks, one that was refused buzzes, and the end has its own tune', () => {
  const rig = createRig()
  const panel = createPanel()
  update(panel, rig)
  hold(rig)
  update(panel, rig)
  expect(nameOf(panel)).toBe('refused')
  advance(rig)
  update(panel, rig)
  expect(nameOf(panel)).toBe('taken')
  rig.session.bathIndex = 2
  wait(rig, 8)
  advance(rig)
  giveCue(rig)
  advance(rig)
  wait(rig, 10)
  advance(rig)
  update(panel, rig)
  expect(nameOf(panel)).toBe('done')
})

test('tunes differ by ear: no two have the same pitches and lengths, and each is short and audible', () => {
  const scores = Object.values(TUNES).map(tones => JSON.stringify(tones))
  expect(new Set(scores).size).toBe(scores.length)
  for (const [name, tones] of Object.entries(TUNES)) {
    expect(
      tones.reduce((sum, tone) => sum + tone.seconds, 0),
      name,
    ).toBeLessThan(2)
    for (const { hertz } of tones) expect(hertz === 0 || (hertz >= 400 && hertz <= 4000), name).toBe(true)
  }
})
