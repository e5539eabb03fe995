/** Faults of the pack and of what reads it. */
import type { FaultKind } from '../faultKind.ts'

/** What a pack that is not what its file says may set off. */
const POOR = [30, 31, 32, 33]
/** A motor that gets too little may also look stalled or strange. */
const POOR_AND_SLOW = [...POOR, 20, 21, 22, 23, 24]
const SURPRISE = { callBeforeEmpty: Infinity, shortWarned: Infinity }

export const packFaults = {
  packWeakCell: {
    group: 'pack',
    does: 'One cell holds this much less charge than its neighbour.',
    unit: 'of the capacity',
    range: [0.05, 0.7],
    lasts: 'session',
    times: [1, 1],
    mustDo: 'Run as long as the pack gives; stop with alarm 33 or 30 when it gives no more.',
    mayRaise: POOR_AND_SLOW,
    excuses: SURPRISE,
  },
  packSag: {
    group: 'pack',
    does: 'The volts drop for a moment, as with a loose contact.',
    unit: 'V',
    range: [0.2, 6],
    lasts: [0.1, 8],
    times: [1, 6],
    mustDo: 'Ride through half a second; stop with alarm 30 or 33 when it lasts.',
    mayRaise: POOR_AND_SLOW,
    excuses: SURPRISE,
  },
  packHighResistance: {
    group: 'pack',
    does: 'The resistance is higher by this factor: corroded contacts.',
    unit: 'times',
    range: [1.5, 10],
    lasts: [10, 300],
    times: [1, 2],
    mustDo: 'Learn it; shed load or call in time; never drive on an empty pack.',
    mayRaise: POOR_AND_SLOW,
    excuses: SURPRISE,
  },
  packCold: {
    group: 'pack',
    does: 'The pack takes this temperature.',
    unit: 'C',
    range: [-15, 10],
    lasts: [30, 600],
    times: [1, 1],
    mustDo: 'As for a high resistance.',
    mayRaise: POOR_AND_SLOW,
    excuses: SURPRISE,
  },
  packWrongSize: {
    group: 'pack',
    does: 'The cells hold this share of what the base file says.',
    unit: 'of the capacity',
    range: [0.2, 2],
    lasts: 'session',
    times: [1, 1],
    mustDo: 'Learn it from the volts; the first call may come late.',
    mayRaise: POOR_AND_SLOW,
    excuses: SURPRISE,
  },
  packCutOff: {
    group: 'pack',
    does: 'The protection opens: no volts for the motor; the board lives on from its serial line.',
    unit: '',
    range: [0, 0],
    lasts: [1, 120],
    times: [1, 2],
    mustDo: 'Motor off, alarm 30; the clock goes on; a press starts the motor again once the pack is back.',
    mayRaise: POOR,
    tells: { alarms: [30, 33], withinSeconds: 6, while: 'any' },
    excuses: SURPRISE,
  },
  supplyUnread: {
    group: 'pack',
    does: 'The divider of the pack is loose: its volts read as nothing, or as rubbish.',
    unit: 'V read, 0 for nothing',
    range: [0, 3],
    lasts: [0.1, 120],
    times: [1, 3],
    mustDo: 'Motor off, alarm 30: what cannot be read is not safe to drive on.',
    mayRaise: POOR,
    tells: { alarms: [30, 33], withinSeconds: 6, while: 'any' },
    excuses: SURPRISE,
  },
} satisfies { [name: string]: FaultKind }
