/**
 * Finds the property names that something outside the bundle speaks too: JSON from and to the laptop or the flash, the
 * engine, a global that two bundles share. The type checker knows: wherever a value passes between a type of ours and
 * `any`, `unknown`, `object` or an index signature, the names in that type are spoken; so is a name asked of such a value.
 * A name that is missed is given a short one in one place only and is then not found at run time.
 */
import { readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import ts from 'typescript'

const CHECKED: ts.CompilerOptions = {
  target: ts.ScriptTarget.ES5,
  module: ts.ModuleKind.ESNext,
  moduleResolution: ts.ModuleResolutionKind.Bundler,
  ignoreDeprecations: '6.0',
  lib: ['lib.es5.d.ts'],
  types: [],
  strict: true,
  allowImportingTsExtensions: true,
  noEmit: true,
  skipLibCheck: true,
}

/** Names spoken by the sources that an entry reaches. */
export function spokenNames(entry: string): Set<string> {
  const program = ts.createProgram([entry], CHECKED, hostThatRemembers())
  const checker = program.getTypeChecker()
  const walk = typeWalker(checker)
  for (const source of program.getSourceFiles()) {
    if (!source.isDeclarationFile) visit(source, checker, walk)
  }
  return walk.names
}

/** Sources as they were parsed for an earlier bundle, while their text is the same. */
const parsed = new Map<string, ts.SourceFile>()

function hostThatRemembers(): ts.CompilerHost {
  const host = ts.createCompilerHost(CHECKED)
  const { getSourceFile } = host
  host.getSourceFile = (name, ...rest) => {
    const known = parsed.get(name)
    if (known !== undefined && known.text === ts.sys.readFile(name)) return known
    const source = getSourceFile.call(host, name, ...rest)
    if (source !== undefined) parsed.set(name, source)
    return source
  }
  return host
}

/** Every property name of the standard library as the compiler declares it, with what the engine has beyond ES5. */
export function standardNames(): Set<string> {
  const names = new Set<string>(ENGINE_EXTRAS)
  const library = join(dirname(ts.getDefaultLibFilePath(CHECKED)), 'lib.es5.d.ts')
  declaredNames(library, names)
  return names
}

/** Beyond ES5: library methods the engine has, and what its own prototypes add to every object. */
const ENGINE_EXTRAS =
  `assign entries values fromEntries setPrototypeOf getOwnPropertyDescriptors fill find findIndex includes
  padStart padEnd repeat startsWith endsWith replaceAll sign clip wrap randInt then catch resolve reject all
  on emit clone dump replaceWith removeListener removeAllListeners __proto__`.split(/\s+/)

/** Takes in the names of all members declared in one file. */
export function declaredNames(file: string, names: Set<string>): void {
  const add = (node: ts.Node): void => {
    if (ts.isTypeElement(node) && node.name !== undefined && ts.isIdentifier(node.name)) names.add(node.name.text)
    ts.forEachChild(node, add)
  }
  add(ts.createSourceFile(file, readFileSync(file, 'utf8'), ts.ScriptTarget.Latest))
}

interface Walk {
  names: Set<string>
  /** Takes in every name in a type, and in the types of its members. */
  take: (type: ts.Type) => void
}

function typeWalker(checker: ts.TypeChecker): Walk {
  const seen = new Set<ts.Type>()
  const names = new Set<string>()
  const take = (type: ts.Type): void => {
    if (seen.has(type)) return
    seen.add(type)
    if (type.isUnionOrIntersection()) for (const one of type.types) take(one)
    if (!(type.flags & ts.TypeFlags.Object)) return
    if (ofLibrary(type)) {
      for (const one of checker.getTypeArguments(type as ts.TypeReference)) take(one)
      return
    }
    for (const info of checker.getIndexInfosOfType(type)) take(info.type)
    for (const property of type.getProperties()) {
      names.add(property.name)
      take(checker.getTypeOfSymbol(property))
    }
  }
  return { names, take }
}

function ofLibrary(type: ts.Type): boolean {
  return type.symbol?.declarations?.[0]?.getSourceFile().isDeclarationFile ?? false
}

/** True of a type through which names cannot be followed. */
function isOpen(type: ts.Type, checker: ts.TypeChecker): boolean {
  if (type.flags & (ts.TypeFlags.Any | ts.TypeFlags.Unknown | ts.TypeFlags.NonPrimitive)) return true
  if (type.isUnionOrIntersection()) return type.types.some(one => isOpen(one, checker))
  if (!(type.flags & ts.TypeFlags.Object) || ofLibrary(type)) return false
  const empty = type.getProperties().length === 0 && type.getCallSignatures().length === 0
  return empty || checker.getIndexInfosOfType(type).some(info => info.keyType.flags & ts.TypeFlags.String)
}

function visit(node: ts.Node, checker: ts.TypeChecker, walk: Walk): void {
  if (ts.isPropertyAccessExpression(node)) {
    if (checker.getSymbolAtLocation(node.name) === undefined) walk.names.add(node.name.text)
  } else if (ts.isBindingElement(node)) {
    const from = checker.getTypeAtLocation(node.parent)
    const name = node.propertyName ?? node.name
    if (ts.isIdentifier(name) && checker.getPropertyOfType(from, name.text) === undefined) walk.names.add(name.text)
  } else if (ts.isTypePredicateNode(node) && node.type !== undefined) {
    walk.take(checker.getTypeFromTypeNode(node.type))
  } else if (ts.isAsExpression(node) && !ts.isConstTypeReference(node.type)) {
    meet(checker.getTypeAtLocation(node.expression), checker.getTypeFromTypeNode(node.type), checker, walk)
  } else if (ts.isVariableStatement(node) && node.modifiers?.some(one => one.kind === ts.SyntaxKind.DeclareKeyword)) {
    for (const one of node.declarationList.declarations) walk.take(checker.getTypeAtLocation(one))
  } else if (ts.isForInStatement(node)) {
    walk.take(checker.getTypeAtLocation(node.expression))
  }
  if (ts.isExpression(node) && !ts.isTypeNode(node)) {
    const wanted = checker.getContextualType(node)
    if (wanted !== undefined) meet(checker.getTypeAtLocation(node), wanted, checker, walk)
  }
  ts.forEachChild(node, child => visit(child, checker, walk))
}

/** A value of one type goes where another is expected. */
function meet(from: ts.Type, to: ts.Type, checker: ts.TypeChecker, walk: Walk): void {
  if (isOpen(to, checker)) walk.take(from)
  if (isOpen(from, checker)) walk.take(to)
}
