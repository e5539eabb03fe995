/**
 * A JSON Schema (draft 07, which editors know) and a key table for people, both made from the checker's own table of
 * fields. The schema says all that can be said of single keys and of which keys must be there; what keys ask of each
 * other (rising rows, names that must exist) only the checker knows, and the descriptions say it.
 */
import { allowedWords, type Field, type ObjectSpec, type Spec, type TextSpec } from '../../firmware/recipe/fields.ts'

type Schema = Record<string, unknown>

/** The schema of one kind of file. */
export function fileSchema(spec: ObjectSpec, title: string): Schema {
  return { $schema: 'http://json-schema.org/draft-07/schema#', title, ...schemaOf(spec) }
}

function schemaOf(spec: Spec): Schema {
  switch (spec.type) {
    case 'number':
      return { type: spec.whole ? 'integer' : 'number', minimum: spec.least, maximum: spec.most }
    case 'text':
      return textSchema(spec)
    case 'choice':
      return { enum: spec.of }
    case 'flag':
      return { type: 'boolean' }
    case 'list':
      return { type: 'array', items: schemaOf(spec.of), minItems: spec.least, maxItems: spec.most }
    case 'tuple': {
      const length = spec.of.length
      return { type: 'array', items: spec.of.map(schemaOf), minItems: length, maxItems: length }
    }
    case 'named':
      return {
        type: 'object',
        propertyNames: textSchema(spec.key),
        additionalProperties: schemaOf(spec.of),
        minProperties: spec.least,
        maxProperties: spec.most,
      }
    case 'object':
      return objectSchema(spec)
  }
}

function textSchema(spec: TextSpec): Schema {
  const pattern = { any: '^[ -~]*$', slug: '^[a-z0-9-]*$', word: '^[A-Za-z0-9][ -~]*$' }[spec.form]
  return { type: 'string', minLength: spec.least, maxLength: spec.most, pattern }
}

function objectSchema(spec: ObjectSpec): Schema {
  const schema: Schema = {
    type: 'object',
    properties: Object.fromEntries(spec.fields.map(field => [field.key, fieldSchema(field)])),
    required: spec.fields.filter(field => field.required).map(field => field.key),
    additionalProperties: false,
  }
  if (spec.exactlyOneOf !== undefined) schema.oneOf = spec.exactlyOneOf.map(key => ({ required: [key] }))
  if (spec.when !== undefined) {
    schema.allOf = spec.when.map(when => ({
      if: { properties: { [when.key]: { const: when.is } }, required: [when.key] },
      // biome-ignore lint/suspicious/noThenProperty: `then` is the keyword of the schema.
      then: { oneOf: when.oneSetOf.map(set => ({ required: set })) },
    }))
  }
  return schema
}

function fieldSchema(field: Field): Schema {
  return { description: description(field), ...schemaOf(field.spec) }
}

function description(field: Field): string {
  const unit = field.spec.type === 'number' && field.spec.unit !== '' ? ` (${field.spec.unit})` : ''
  const ifLeftOut = field.required || field.ifLeftOut === '' ? '' : `; if left out: ${field.ifLeftOut}`
  return field.meaning + unit + ifLeftOut
}

/** The key table as Markdown: one row a key, the keys of objects within following theirs. */
export function keyTable(spec: ObjectSpec): string {
  const rows = [['key', 'allowed', 'if left out', 'what it is'], ...keyRows(spec, '')]
  const widths = rows[0].map((_, column) => Math.max(...rows.map(row => row[column].length)))
  const line = (cells: string[]): string => `| ${cells.map((cell, i) => cell.padEnd(widths[i])).join(' | ')} |`
  const [head, ...body] = rows.map(line)
  return [head, line(widths.map(width => '-'.repeat(width))), ...body].join('\n')
}

function keyRows(spec: Spec, place: string): string[][] {
  if (spec.type === 'list') return keyRows(spec.of, `${place}[]`)
  if (spec.type === 'named') return keyRows(spec.of, `${place}.NAME`)
  if (spec.type !== 'object') return []
  return spec.fields.flatMap(field => {
    const key = place === '' ? field.key : `${place}.${field.key}`
    const ifLeftOut = field.required ? 'required' : field.ifLeftOut
    return [[`\`${key}\``, tableWords(field.spec), ifLeftOut, field.meaning], ...keyRows(field.spec, key)]
  })
}

function tableWords(spec: Spec): string {
  return spec.type === 'list' && spec.of.type === 'tuple'
    ? `${allowedWords(spec)}, each ${allowedWords(spec.of)}`
    : allowedWords(spec)
}
