/** A screen or a sounder that does not answer: the session goes on, and both are used again when they are back. */
import { expect, test } from 'vitest'
import { tick } from '../../firmware/base.ts'
import { runByPlan } from '../../sim/bench/defaults.ts'
import { type Bench, openBench } from '../../sim/bench/run.ts'
import { stepPlant } from '../../sim/plant/plant.ts'
import { ASKED } from '../../sim/rehearsal/asked.ts'

function step(bench: Bench): void {
  tick(bench.base)
  stepPlant(bench.plant, bench.plant.steps < 100 ? 'wait' : ASKED[bench.base.session.state])
}

/** A bench whose tank turns, and whose screen and sounder stop to answer. */
function turningWithout(part: 'screen' | 'sounder'): { bench: Bench; back: () => void } {
  const bench = openBench(runByPlan({ seed: 1 }))
  while (bench.base.session.state !== 'turning') step(bench)
  const board = bench.base.board
  const sound = board[part]
  const silent = {
    write() {
      throw new Error('no answer')
    },
    close() {},
  }
  bench.base.board = { ...board, [part]: silent }
  return {
    bench,
    back() {
      bench.base.board = { ...board, [part]: sound }
    },
  }
}

for (const part of ['screen', 'sounder'] as const) {
  test(`a ${part} that is gone does not stop the motor, nor the other, nor the session`, () => {
    const { bench } = turningWithout(part)
    const { pins } = bench.plant
    const before = part === 'screen' ? pins.tonesWrites : pins.screenWrites
    let longestStill = 0
    let still = 0
    while (bench.base.session.bathIndex < 2) {
      step(bench)
      const wants = bench.base.session.want === 'turn'
      still = wants && pins.motorDuty === 0 ? still + 1 : 0
      longestStill = Math.max(longestStill, still)
    }
    expect(bench.base.mishaps).toBe(0)
    expect(longestStill).toBeLessThan(15)
    expect(part === 'screen' ? pins.tonesWrites : pins.screenWrites).toBeGreaterThan(before + 3)
  })
}

test('a screen that is back shows what is true within a second, even when nothing changes', () => {
  const bench = openBench(runByPlan({ seed: 1 }))
  const { board } = bench.base
  const { pins } = bench.plant
  let isGone = true
  const write = board.screen.write.bind(board.screen)
  bench.base.board = {
    ...board,
    screen: {
      write(frame) {
        if (isGone) throw new Error('no answer')
        write(frame)
      },
      close() {},
    },
  }
  for (let i = 0; i < 50; i++) {
    tick(bench.base)
    stepPlant(bench.plant, 'nothing')
  }
  expect(pins.screenWrites).toBe(0)
  isGone = false
  for (let i = 0; i < 11; i++) {
    tick(bench.base)
    stepPlant(bench.plant, 'nothing')
  }
  expect(pins.screen.lines[0]?.text).toBe('POUR IN')
})
