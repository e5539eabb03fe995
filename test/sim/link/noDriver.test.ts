/** A machine where the serial library's native part is missing: said in words, and only when a port is wanted. */
import { expect, test, vi } from 'vitest'
import { needBuild } from '../../../sim/link/bundles.ts'
import { openLink } from '../../../sim/link/link.ts'

vi.mock('serialport', () => {
  throw new Error('No native build was found for platform=plan9')
})

test('without the native part a port is refused with what to do, and all else works', async () => {
  await expect(openLink('/dev/ttyNowhere')).rejects.toMatchObject({
    trouble: 'noDriver',
    message: expect.stringContaining('npm ci'),
  })
  expect(() => needBuild('/nowhere')).toThrow(/npm run build/)
})
