/** Carries out the faults of the pack and of what reads it. */
import { cutOffPack, type PackState, resetPack, setPackCelsius } from '../../plant/pack.ts'
import type { Injector } from '../injector.ts'
import type { packFaults } from '../tables/pack.ts'

/** Cells that match are reckoned as one; a factor a hair off makes the weakest count for itself. */
const NEARLY_ONE = 0.999999

function resistanceTimes(pack: PackState, factor: number): void {
  pack.resistanceOhms *= factor
  pack.quickOhms *= factor
  pack.slowOhms *= factor
}

export const packInjectors: { [name in keyof typeof packFaults]: Injector } = {
  packWeakCell: {
    begin({ rig, strength }) {
      const { pack } = rig.plant
      pack.truth.weakCellFactor = NEARLY_ONE
      pack.weakCharge = Math.max(0.01, pack.charge - strength)
    },
    end({ rig }) {
      rig.plant.pack.truth.weakCellFactor = 1
    },
  },
  packSag: {
    begin() {},
    each({ rig, strength }) {
      rig.plant.pack.quickVolts = Math.max(rig.plant.pack.quickVolts, strength)
    },
    // A contact that was loose is no reason for the cells' protection to stay open.
    end({ rig }) {
      rig.plant.pack.quickVolts = 0
      if (rig.plant.pack.cutOff) resetPack(rig.plant.pack, rig.plant.pack.charge)
    },
  },
  packHighResistance: {
    begin({ rig, strength }) {
      resistanceTimes(rig.plant.pack, strength)
    },
    end({ rig, strength }) {
      resistanceTimes(rig.plant.pack, 1 / strength)
    },
  },
  packCold: {
    begin({ rig, strength }) {
      setPackCelsius(rig.plant.pack, strength)
    },
    end({ rig }) {
      setPackCelsius(rig.plant.pack, rig.plant.pack.truth.celsius)
    },
  },
  packWrongSize: {
    begin({ rig, strength }) {
      rig.plant.pack.truth.capacityCoulombs *= strength
      setPackCelsius(rig.plant.pack, rig.plant.pack.truth.celsius)
    },
    end({ rig, strength }) {
      rig.plant.pack.truth.capacityCoulombs /= strength
      setPackCelsius(rig.plant.pack, rig.plant.pack.truth.celsius)
    },
  },
  packCutOff: {
    begin(acting) {
      acting.kept = acting.rig.plant.pack.charge
      cutOffPack(acting.rig.plant.pack)
    },
    // The end of another fault closes what this one still holds open.
    each({ rig }) {
      if (!rig.plant.pack.cutOff) cutOffPack(rig.plant.pack)
    },
    end({ rig }) {
      resetPack(rig.plant.pack, rig.plant.pack.charge)
    },
  },
  supplyUnread: {
    begin() {},
    each({ rig, strength }) {
      rig.plant.pins.packVolts = strength < 1 ? NaN : strength
      if (strength < 1) rig.plant.pins.motorAmps = NaN
    },
    end() {},
  },
}
