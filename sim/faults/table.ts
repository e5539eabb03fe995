/**
 * Everything that can go wrong, as data: one line for each fault. The campaign draws from this table, the checker reads
 * from it what each fault excuses and what the base must tell, and FAULTS.md is written from it.
 *
 * Ranges are assumed: from hardly noticed to as bad as it can be. A fault named here and without an injector, or the
 * other way round, does not compile.
 */

import type { FaultKind } from './faultKind.ts'
import { boardFaults } from './tables/board.ts'
import { driveFaults } from './tables/drive.ts'
import { handFaults } from './tables/hands.ts'
import { packFaults } from './tables/pack.ts'
import { probeFaults } from './tables/probe.ts'

const TABLE = { ...probeFaults, ...driveFaults, ...packFaults, ...handFaults, ...boardFaults }

export type FaultName = keyof typeof TABLE

export const FAULTS: { readonly [name in FaultName]: FaultKind } = TABLE

/** In the order of the table; the place of a fault decides its stream of chance, so new ones go to the end of a group. */
export const FAULT_NAMES = Object.keys(TABLE) as FaultName[]

export function isFaultName(text: string): text is FaultName {
  return Object.hasOwn(TABLE, text)
}

/** The alarms that a fault may cause, and those that it must. */
export function alarmsOf(fault: FaultKind): number[] {
  return [...fault.mayRaise, ...(fault.tells?.alarms ?? [])]
}
