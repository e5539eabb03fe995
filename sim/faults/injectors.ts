/** Every fault and what carries it out: the compiler holds this against the table. */
import type { Injector } from './injector.ts'
import { boardInjectors } from './injectors/board.ts'
import { driveInjectors } from './injectors/drive.ts'
import { handInjectors } from './injectors/hands.ts'
import { packInjectors } from './injectors/pack.ts'
import { probeInjectors } from './injectors/probe.ts'
import type { FaultName } from './table.ts'

export const INJECTORS: { [name in FaultName]: Injector } = {
  ...probeInjectors,
  ...driveInjectors,
  ...packInjectors,
  ...handInjectors,
  ...boardInjectors,
}
