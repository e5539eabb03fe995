/** Faults of the two thermistors and of the converter behind them. */
import type { FaultKind } from '../faultKind.ts'

/** What a probe that misleads may set off, besides its own alarm: temperatures, the bound, the model. */
const MISLED = [10, 11, 12, 13, 14, 15]
/** A probe that was wrong in a bath leaves its mark on that bath's progress. */
const REST_OF_SESSION = Infinity

const TOLD = 'Go on turning and counting by the model, widen the bound, raise alarm 10.'

export const probeFaults = {
  probeOpen: {
    group: 'probe',
    does: 'The wire of the probe is broken: full scale.',
    unit: '',
    range: [0, 0],
    lasts: [1, 240],
    times: [1, 3],
    mustDo: TOLD,
    mayRaise: MISLED,
    tells: { alarms: [10], withinSeconds: 8, while: 'any' },
  },
  probeShort: {
    group: 'probe',
    does: 'The wires of the probe touch: nothing but zero.',
    unit: '',
    range: [0, 0],
    lasts: [1, 240],
    times: [1, 3],
    mustDo: TOLD,
    mayRaise: MISLED,
    tells: { alarms: [10], withinSeconds: 8, while: 'any' },
  },
  probeStuck: {
    group: 'probe',
    does: 'The reading stays exactly where it is.',
    unit: '',
    range: [0, 0],
    lasts: [5, 240],
    times: [1, 2],
    mustDo: 'Stop using it once it can be told from a quiet converter in a still bath; alarm 10 then.',
    mayRaise: MISLED,
    excuses: { progressKnown: REST_OF_SESSION, cueInTime: REST_OF_SESSION },
  },
  probeDrifting: {
    group: 'probe',
    does: 'Its offset grows steadily, as that of a probe that takes up water.',
    unit: 'C a second',
    range: [-0.05, 0.05],
    lasts: [20, 240],
    times: [1, 1],
    mustDo:
      'What is fast shows as alarm 14, 10 or 15; what is as slow as a bath that cools cannot be told by one probe.',
    mayRaise: MISLED,
    excuses: { progressKnown: REST_OF_SESSION, cueInTime: REST_OF_SESSION },
  },
  probeJumping: {
    group: 'probe',
    does: 'Every reading is off by a chance amount.',
    unit: 'of full scale',
    range: [0.02, 0.4],
    lasts: [5, 240],
    times: [1, 2],
    mustDo: TOLD,
    mayRaise: MISLED,
    tells: { alarms: [10, 14, 15], withinSeconds: 25, while: 'inBath', fromStrength: 0.1 },
  },
  probeNoisy: {
    group: 'probe',
    does: 'Readings scatter more than they did.',
    unit: 'counts, one sigma',
    range: [1, 40],
    lasts: [10, 240],
    times: [1, 2],
    mustDo: 'Trust each reading less; alarm 10 when they are of no use.',
    mayRaise: MISLED,
  },
  probeIntermittent: {
    group: 'probe',
    does: 'The cable makes contact now and then: open for a share of the readings.',
    unit: 'share',
    range: [0.05, 0.9],
    lasts: [5, 240],
    times: [1, 2],
    mustDo: 'Use the good readings; alarm 10 when there are too few.',
    mayRaise: MISLED,
    tells: { alarms: [10], withinSeconds: 60, while: 'inBath', fromStrength: 0.75 },
  },
  roomProbeMissing: {
    group: 'probe',
    does: 'The thermistor in the room gives nothing.',
    unit: '',
    range: [0, 0],
    lasts: [10, 600],
    times: [1, 1],
    mustDo: 'Go on with the room as it was believed; no alarm.',
    mayRaise: [],
    needs: 'room',
  },
  adcReferenceOff: {
    group: 'probe',
    does: "The converter's reference is off: every reading of both thermistors is too high or too low by a factor.",
    unit: 'factor',
    range: [0.9, 1.1],
    lasts: [10, 240],
    times: [1, 1],
    mustDo: 'A step in mid-bath shows as alarm 14 or 10; a constant one cannot be told from another temperature.',
    mayRaise: MISLED,
    excuses: { progressKnown: REST_OF_SESSION, cueInTime: REST_OF_SESSION },
  },
} satisfies { [name: string]: FaultKind }
