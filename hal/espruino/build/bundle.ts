/**
 * One entry to one ES5 file: TypeScript lowers each module, esbuild joins them into a single function scope, terser moves
 * functions and variables before their use (the board's engine hoists nothing) and shortens. Fails on whatever any step
 * warns of.
 */
import { readFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import { build, type Plugin } from 'esbuild'
import { minify } from 'terser'
import ts from 'typescript'
import { ENGINE_HELPERS } from './engineHelpers.ts'
import { withoutRemarks } from './remarks.ts'
import { keptNames, shorten } from './shorten.ts'
import { spokenNames } from './spokenNames.ts'

export interface Bundle {
  /** ES5, ASCII. */
  code: string
  /** Source map of `code`, JSON. */
  map: string
}

export interface BundleOptions {
  /** Path of the entry file, from `root`. */
  entry: string
  /** Folder that source paths are relative to. */
  root: string
  /** Names replaced by a constant expression, as esbuild's `define`. */
  define: { [name: string]: string }
  /** False leaves names and layout readable: for tests that look into the code. */
  short: boolean
  /** It is read by a board whose watchdog may run. */
  onBoard?: boolean
}

const LOWERING: ts.CompilerOptions = {
  target: ts.ScriptTarget.ES5,
  module: ts.ModuleKind.ES2015,
  ignoreDeprecations: '6.0',
  importHelpers: true,
  inlineSourceMap: true,
  inlineSources: true,
  verbatimModuleSyntax: true,
}

/** Hands every TypeScript module to the joiner as ES5. */
function lowered(root: string): Plugin {
  return {
    name: 'lowered',
    setup(joiner) {
      joiner.onResolve({ filter: /^tslib$/ }, () => ({ path: 'tslib', namespace: 'helpers' }))
      joiner.onLoad({ filter: /.*/, namespace: 'helpers' }, () => ({ contents: ENGINE_HELPERS, loader: 'js' }))
      joiner.onLoad({ filter: /\.ts$/ }, ({ path }) => {
        const { outputText, diagnostics = [] } = ts.transpileModule(readFileSync(path, 'utf8'), {
          fileName: relative(root, path),
          compilerOptions: LOWERING,
          transformers: withoutRemarks(relative(root, path)),
          reportDiagnostics: true,
        })
        const errors = diagnostics.map(one => ({ text: ts.flattenDiagnosticMessageText(one.messageText, '\n') }))
        return { contents: outputText, loader: 'js', errors }
      })
    },
  }
}

export async function bundle(options: BundleOptions): Promise<Bundle> {
  const joined = await build({
    entryPoints: [options.entry],
    absWorkingDir: options.root,
    bundle: true,
    write: false,
    format: 'iife',
    target: 'es5',
    charset: 'ascii',
    tsconfigRaw: '{}',
    sourcemap: 'external',
    outfile: 'bundle.js',
    // The engine has no RangeError.
    define: { RangeError: 'Error', ...options.define },
    plugins: [lowered(options.root)],
    logLevel: 'silent',
  })
  if (joined.warnings.length > 0) throw new Error(joined.warnings.map(one => one.text).join('\n'))
  const text = (end: string): string => joined.outputFiles.find(file => file.path.endsWith(end))?.text ?? ''
  if (options.short) {
    const kept = new Set([...keptNames(options.root), ...spokenNames(join(options.root, options.entry))])
    return shorten(text('.js'), text('.map'), kept, options.onBoard === true)
  }
  const { code, map } = await minify(text('.js'), {
    ecma: 5,
    compress: { hoist_funs: true, hoist_vars: true },
    mangle: false,
    format: { ascii_only: true, comments: false, beautify: true },
    sourceMap: { content: text('.map'), filename: 'bundle.js' },
  })
  return { code: `${code}\n`, map: String(map) }
}
