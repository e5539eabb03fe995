/** One evening of a population in full: what was drawn, which the base is not told, and what came of it. */
import { sessionText } from '../../report/sessionText.ts'
import { celsius, wrapped } from '../../report/words.ts'
import { openBench, runSession } from '../run.ts'
import { drawRun, type PopulationSetup } from './draw.ts'
import { percent, plain, signed, signedPercent } from './figureWords.ts'
import { outcomeOf } from './outcome.ts'

export function eveningText(setup: PopulationSetup, seed: number): string {
  const run = drawRun(setup, () => seed)
  const { evening } = openBench(run).plant
  const report = runSession(run)
  const { base, tank } = setup
  const [developed] = outcomeOf(report, run.recipe, true).developed
  const drawn = [
    `Evening ${seed} of "${setup.distribution.name}": ${run.filmsInTank} in the tank, ${run.filmsThrough} films already ` +
      `through the solutions, ${evening.pourCelsius.map(celsius).join(', ')} poured where ` +
      `${run.pourCelsius.map(celsius).join(', ')} was meant.`,
    `Probe: off by ${signed(evening.probe.errorCelsius, 3)} C, lag ${plain(evening.probe.lagSeconds, 1)} s where the base ` +
      `file says ${base.probe.lagSeconds}. Tank: takes ${plain(evening.bath.bodyJoulesPerKelvin, 0)} J/K where its file says ` +
      `${tank.heatJoulesPerKelvin}. Pack: ${plain(100 * evening.startCharge, 0)} % full, ` +
      `${plain(evening.pack.capacityCoulombs / 3.6, 0)} mAh. Reaction ${plain(evening.habits.reactionSeconds, 1)} s.`,
  ]
  const came =
    developed === undefined || isNaN(developed.clockErrorPercent)
      ? 'No developer was carried through.'
      : `${developed.name}: the clock was off by ${signedPercent(developed.clockErrorPercent)}, where the base said ` +
        `+-${percent(developed.boundPercent)}; the film by ${signedPercent(developed.totalErrorPercent)}.`
  return [...[...drawn, came].flatMap(text => wrapped(text, 2)), '', sessionText(report, run.recipe, [])].join('\n')
}
