/**
 * The one document of `population --json`: its figures, what was asked for, and the counts behind them, from which parts
 * of a population are added up.
 */
import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { InputError, unreadable } from '../inputError.ts'
import type { Distribution } from './distribution.ts'
import type { Point } from './points.ts'
import type { SensitivityDocument } from './sensitivity.ts'
import { type ComparedFigures, comparedFigures, figuresOf, type PopulationFigures } from './summary.ts'
import { type Judged, judge, type Thresholds } from './thresholds.ts'
import { type DevelopersSlope, developersSlope } from './tolerance.ts'
import { addCount, type Counted, type CountedRecord, countedFrom, countedRecord, type WorkSetup } from './work.ts'

/** What was asked for: the same in all parts of a population. */
export interface Asked {
  recipe: string
  title: string
  distribution: Distribution
  seed: number
  /** Of the whole population. */
  sessions: number
  /** Which parts this is, as `I/N`; absent where it is whole. */
  parts?: string[]
  /** What it is compared with. */
  with?: string
  slope?: DevelopersSlope
  otherSlope?: DevelopersSlope
  /** Of everything that decides what an evening is: parts with different ones do not add up. */
  print: string
}

export interface PopulationDocument extends PopulationFigures {
  asked: Asked
  /** The evenings on which the clock was furthest off: run one again with `--sessions 1 --seed`. */
  furthest: Point[]
  compared?: ComparedFigures & { with: string; figures: PopulationFigures }
  sensitivity?: SensitivityDocument
  thresholds: Judged[]
  counted: CountedRecord
}

export function askedFor(
  work: WorkSetup,
  seed: number,
  sessions: number,
  part: string | undefined,
  other?: string,
): Asked {
  const { recipe, distribution } = work.setup
  const slope = developersSlope(recipe)
  const otherSlope = work.other && developersSlope(work.other.setup.recipe)
  return {
    recipe: recipe.name,
    title: recipe.title,
    distribution,
    seed,
    sessions,
    ...(part !== undefined && part !== '1/1' && { parts: [part] }),
    ...(other !== undefined && { with: other }),
    ...(slope && { slope }),
    ...(otherSlope && { otherSlope }),
    print: createHash('sha256').update(JSON.stringify(work)).digest('hex').slice(0, 16),
  }
}

export function documentOf(
  asked: Asked,
  counted: Counted,
  thresholds: Thresholds,
  sensitivity?: SensitivityDocument,
): PopulationDocument {
  const figures = figuresOf(counted.tally, asked.slope)
  const compared = counted.other && {
    with: asked.with ?? '',
    ...comparedFigures(counted.other.pairs),
    figures: figuresOf(counted.other.tally, asked.otherSlope),
  }
  return {
    ...figures,
    asked,
    furthest: counted.points.furthest,
    ...(compared && { compared }),
    ...(sensitivity && { sensitivity }),
    thresholds: judge(thresholds, figures, compared),
    counted: countedRecord(counted),
  }
}

/** Adds up what `--json` of parts has written. Throws `InputError` for files that are none or do not belong together. */
export function mergeDocuments(files: string[]): { asked: Asked; counted: Counted } {
  const documents = files.map(readDocument)
  const [first, ...others] = documents as [PopulationDocument, ...PopulationDocument[]]
  const problems: string[] = []
  const seen = new Map<string, string>()
  const counted = countedFrom(first.counted)
  documents.forEach(({ asked }, i) => {
    for (const key of ['print', 'seed', 'sessions', 'with'] as const) {
      if (asked[key] !== first.asked[key]) {
        const [found, allowed] = [asked[key] ?? 'nothing', first.asked[key] ?? 'nothing']
        problems.push(`${files[i]}: ${KEY_WORDS[key]} is ${found}; allowed: ${allowed}, as in ${files[0]}`)
      }
    }
    for (const part of asked.parts ?? ['1/1']) {
      const before = seen.get(part)
      if (before !== undefined)
        problems.push(`${files[i]}: part ${part} a second time; allowed: once, it is in ${before}`)
      seen.set(part, files[i] as string)
    }
  })
  const widths = new Set([...seen.keys()].map(part => part.split('/')[1]))
  if (widths.size > 1)
    problems.push(`parts ${[...seen.keys()].join(', ')}: shared out differently; allowed: all I/N with one N`)
  if (problems.length > 0) throw new InputError(problems)
  for (const other of others) addCount(counted, countedFrom(other.counted))
  const { parts: _parts, ...asked } = first.asked
  const whole = seen.size === Number([...widths][0])
  const parts = [...seen.keys()].sort((a, b) => Number(a.split('/')[0]) - Number(b.split('/')[0]))
  return { asked: whole ? asked : { ...asked, parts }, counted }
}

const KEY_WORDS = {
  print: 'what recipe, tank, base and population come to',
  seed: 'the first seed',
  sessions: 'the number of sessions',
  with: 'what it is compared with',
}

function readDocument(path: string): PopulationDocument {
  let text: string
  try {
    text = readFileSync(path, 'utf8')
  } catch (cause) {
    throw new InputError([unreadable(path, cause)])
  }
  try {
    const document = JSON.parse(text) as PopulationDocument
    if (
      typeof document.asked.print === 'string' &&
      Array.isArray(document.counted.points.sample) &&
      countedFrom(document.counted).tally.sessions > 0
    )
      return document
  } catch {
    // Said below: whatever is wrong with it, it is none of ours.
  }
  throw new InputError([`${path}: no result; allowed: what population --json has written`])
}
