/** Carries out the faults of the thermistors: by the probe's own failures, and on the counts that the pins show. */
import type { ProbeFailure } from '../../plant/probe.ts'
import { between, gaussian, uniform } from '../../plant/random.ts'
import type { Acting, Injector } from '../injector.ts'
import type { probeFaults } from '../tables/probe.ts'

/** The plant converts at every tenth step: what is done to a reading is done once. */
function isConverted(acting: Acting): boolean {
  return acting.rig.plant.steps % 10 === 0
}

function failing(failure: ProbeFailure): Injector {
  return {
    begin({ rig }) {
      rig.plant.probe.failure = failure
    },
    // Two faults at once: the one that is left takes over again.
    each({ rig }) {
      if (rig.plant.probe.failure === 'none') rig.plant.probe.failure = failure
    },
    end({ rig }) {
      rig.plant.probe.failure = 'none'
    },
  }
}

/** Changes each reading of the probe; the converter's ends are as far as it goes. */
function changing(change: (counts: number, acting: Acting) => number): Injector {
  return {
    begin() {},
    each(acting) {
      if (!isConverted(acting)) return
      const { pins, probe } = acting.rig.plant
      pins.probeCounts = clamped(change(pins.probeCounts, acting), probe.curve.fullScaleCounts)
    },
    end() {},
  }
}

function clamped(counts: number, full: number): number {
  return counts < 0 ? 0 : counts > full ? full : counts
}

export const probeInjectors: { [name in keyof typeof probeFaults]: Injector } = {
  probeOpen: failing('open'),
  probeShort: failing('short'),
  probeStuck: failing('stuck'),
  probeDrifting: {
    begin(acting) {
      acting.kept = 0
    },
    each(acting) {
      const celsius = acting.strength * 0.1
      acting.kept += celsius
      acting.rig.plant.probe.truth.errorCelsius += celsius
    },
    end(acting) {
      acting.rig.plant.probe.truth.errorCelsius -= acting.kept
    },
  },
  probeJumping: changing((counts, { rig, strength }) => {
    const reach = strength * rig.plant.probe.curve.fullScaleCounts
    return counts + between(rig.random, -reach, reach)
  }),
  probeNoisy: changing((counts, { rig, strength }) => Math.round(counts + strength * gaussian(rig.random))),
  probeIntermittent: changing((counts, { rig, strength }) => {
    const { curve } = rig.plant.probe
    if (uniform(rig.random) >= strength) return counts
    return curve.atGround ? curve.fullScaleCounts : 0
  }),
  roomProbeMissing: {
    begin() {},
    each({ rig }) {
      rig.plant.pins.roomCounts = NaN
    },
    end() {},
  },
  adcReferenceOff: {
    begin() {},
    each(acting) {
      if (!isConverted(acting)) return
      const { pins, probe } = acting.rig.plant
      pins.probeCounts = clamped(pins.probeCounts * acting.strength, probe.curve.fullScaleCounts)
      pins.roomCounts = clamped(pins.roomCounts * acting.strength, probe.curve.fullScaleCounts)
    },
    end() {},
  },
}
