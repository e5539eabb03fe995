/** What `run` and `plan` refuse, warn of and say about how much is poured, and how warm. */
import { expect, test } from 'vitest'
import { InputError } from '../../../sim/bench/inputError.ts'
import { planCommand } from '../../../sim/bench/planCommand.ts'
import { type RunCommandOptions, runCommand } from '../../../sim/bench/runCommand.ts'

interface Said {
  out: string
  err: string
  refused: string
}

function said(work: (out: (text: string) => void, warn: (text: string) => void) => number): Said {
  const out: string[] = []
  const err: string[] = []
  let refused = ''
  try {
    work(
      text => out.push(text),
      text => err.push(text),
    )
  } catch (thrown) {
    if (!(thrown instanceof InputError)) throw thrown
    refused = thrown.problems.join(' ')
  }
  return { out: out.join(' ').replace(/\s+/g, ' '), err: err.join(' '), refused }
}

const usual = { recipe: 'colour-negative', seed: 1, room: 20, films: 0 }
const run = (options: Partial<RunCommandOptions>): Said =>
  said((out, warn) => runCommand({ ...usual, ...options }, out, warn))
const plan = (options: object): Said => said((out, warn) => planCommand({ ...usual, ...options }, out, warn))

test('run pours by itself no more than the tank holds lying, as it takes no more by --volume', () => {
  expect(run({ load: 3 }).refused).toMatch(/--load: 3 films need 375 mL; allowed: at most 330 mL.*: 2 films/)
  expect(run({ volume: [375] }).refused).toContain('--volume: 375 mL; allowed: at most 330 mL')
  expect(run({ load: 8 })).toMatchObject({ out: '', err: '8 films on 2 reels: more than one film on a reel.' })
  expect(run({ load: 2 })).toMatchObject({ err: '', refused: '' })
})

test('plan refuses what does not go into the tank at all', () => {
  expect(plan({ load: 16 }).refused).toMatch(
    /16 films need 2000 mL.* 661 mL full to the brim; allowed: at most 2 films/,
  )
  expect(plan({ load: 3 })).toMatchObject({ refused: '', err: '' })
})

test('a bottle far below the room is asked about, a cool wash is not', () => {
  const pour = [41, 5, 38, 38, 38, 38, 38]
  expect(run({ pour, load: 1 }).err).toBe(
    '--pour: 5 C is 15 K below the room; is it meant? (decimals take a point: 38.5)',
  )
  expect(run({ pour: [38, 38, 38, 12, 38, 12, 12], load: 1 }).err).toBe('')
})

test('a film that part of stayed dry is never called nearly right', () => {
  expect(run({ volume: [30] }).out).toContain('DRY developer: part of the film stayed dry')
  expect(run({}).out).not.toContain('DRY')
})

test('plan says how long solutions serve through which films went', () => {
  expect(plan({ recipe: 'bw-negative', films: 3 }).out).toContain('Shelf developer: 12 more films')
  expect(plan({}).out).not.toContain('Shelf')
})
