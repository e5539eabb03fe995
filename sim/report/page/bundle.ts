/**
 * The charts' code: `client.ts` with the parts of Apache ECharts that it uses, in one text without imports. The page
 * carries it, and the laptop runs the very same text to draw the still pictures.
 *
 * Bundled by esbuild when it is first needed, which takes about half a second. The other way would be one of the files
 * that the library ships: its `simple` build (500 kB) has neither zoom nor polar axes, its `common` build (715 kB) no
 * polar axes, the whole (1.1 MB) most of what no report draws; the bundle is 0.6 MB and has what is used. esbuild
 * comes with `tsx`, which runs every command, so it adds nothing to what is installed; and importing the library module by module
 * would take Node longer (1 to 3 s) than bundling and running it. Throws esbuild's error when a source file is missing.
 */
import { createRequire } from 'node:module'
import { fileURLToPath } from 'node:url'

type Drawing = Pick<typeof import('./client.ts'), 'svgOf'>

const CLIENT = fileURLToPath(new URL('client.ts', import.meta.url))

let bundled = ''
let running: Drawing | undefined

/** The text that gives an object `charts`. */
function bundle(): string {
  if (bundled === '') {
    // Only a report needs it: a command without one starts sooner.
    const { buildSync } = createRequire(import.meta.url)('esbuild') as typeof import('esbuild')
    const { outputFiles } = buildSync({
      entryPoints: [CLIENT],
      bundle: true,
      minify: true,
      write: false,
      format: 'iife',
      globalName: 'charts',
      target: 'es2020',
      legalComments: 'eof',
      charset: 'ascii',
      define: { 'process.env.NODE_ENV': '"production"' },
    })
    bundled = (outputFiles[0]?.text ?? '').trim()
  }
  return bundled
}

/** What draws still pictures, on the laptop. */
export function drawing(): Drawing {
  running ??= new Function(`${bundle()}\nreturn charts`)() as Drawing
  return running
}

/** The script of a page. A text in it that would end the script element is written otherwise. */
export function browserScript(): string {
  return `${bundle()}\ncharts.begin()`.replace(/<\/(script)/gi, '<\\/$1').replace(/<!--/g, '<\\!--')
}
