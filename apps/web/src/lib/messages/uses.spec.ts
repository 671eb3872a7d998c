import { parse, TYPE, type MessageFormatElement } from '@formatjs/icu-messageformat-parser';
import { describe, expect, it } from '@jest/globals';
import { readdirSync, readFileSync } from 'node:fs';
import ts from 'typescript';

// The compiler checks that a key exists; this checks that the values handed over are those that the message names.

const source = `${import.meta.dirname}/../..`;
const english = Object.fromEntries(
  readdirSync(`${import.meta.dirname}/en`).map((file) => [
    file.replace('.json', ''),
    JSON.parse(readFileSync(`${import.meta.dirname}/en/${file}`, 'utf8')) as Record<string, string>,
  ]),
);

function messageOf(key: string): string | undefined {
  const dot = key.indexOf('.');
  return english[key.slice(0, dot)]?.[key.slice(dot + 1)];
}

function namesIn(elements: readonly MessageFormatElement[]): string[] {
  return elements.flatMap((element) => {
    if (element.type === TYPE.literal || element.type === TYPE.pound) return [];
    if (element.type === TYPE.tag)
      return [...(element.value === 'b' ? [] : [element.value]), ...namesIn(element.children)];
    const inside =
      element.type === TYPE.plural || element.type === TYPE.select
        ? Object.values(element.options).flatMap((option) => namesIn(option.value))
        : [];
    return [element.value, ...inside];
  });
}

const wanted = (key: string): string[] | undefined => {
  const message = messageOf(key);
  return message === undefined ? undefined : [...new Set(namesIn(parse(message)))].sort();
};

/** The names of an object literal; undefined where a spread or a computed name hides some. */
function given(values: ts.Expression | undefined): string[] | undefined {
  if (values === undefined) return [];
  if (!ts.isObjectLiteralExpression(values)) return undefined;
  const names = values.properties.map((property) =>
    property.name && (ts.isIdentifier(property.name) || ts.isStringLiteral(property.name))
      ? property.name.text
      : undefined,
  );
  return names.includes(undefined) ? undefined : (names as string[]).sort();
}

interface Use {
  key: string;
  values: string[];
  where: string;
}

function keysOf(expression: ts.Expression): string[] {
  if (ts.isStringLiteralLike(expression)) return [expression.text];
  if (ts.isConditionalExpression(expression)) return [...keysOf(expression.whenTrue), ...keysOf(expression.whenFalse)];
  return [];
}

function usesIn(file: string): Use[] {
  const tree = ts.createSourceFile(file, readFileSync(file, 'utf8'), ts.ScriptTarget.Latest, true, ts.ScriptKind.TSX);
  const uses: Use[] = [];
  const note = (keys: string[], values: string[] | undefined, node: ts.Node) => {
    const line = tree.getLineAndCharacterOfPosition(node.getStart()).line + 1;
    for (const key of keys) if (values) uses.push({ key, values, where: `${file.slice(source.length + 1)}:${line}` });
  };
  const visit = (node: ts.Node): void => {
    if (
      ts.isCallExpression(node) &&
      ts.isIdentifier(node.expression) &&
      node.expression.text === 't' &&
      node.arguments[0]
    ) {
      note(keysOf(node.arguments[0]), given(node.arguments[1]), node);
    }
    if (ts.isJsxSelfClosingElement(node) && node.tagName.getText() === 'T') {
      const attribute = (name: string) =>
        node.attributes.properties.find(
          (each): each is ts.JsxAttribute => ts.isJsxAttribute(each) && each.name.getText() === name,
        )?.initializer;
      const key = attribute('k');
      const values = attribute('values');
      const valueNode = values && ts.isJsxExpression(values) ? values.expression : undefined;
      if (key && ts.isStringLiteral(key)) note([key.text], given(valueNode), node);
    }
    ts.forEachChild(node, visit);
  };
  visit(tree);
  return uses;
}

const files = readdirSync(source, { recursive: true, encoding: 'utf8' })
  .filter((file) => /\.tsx?$/.test(file) && !/\.spec\.ts$|\.d\.ts$/.test(file))
  .map((file) => `${source}/${file}`);

describe('the use of messages in the code', () => {
  const uses = files.flatMap(usesIn);

  it('finds the calls at all', () => {
    expect(uses.length).toBeGreaterThan(50);
  });

  it('hands every message the values that it names', () => {
    const wrong = uses
      .map((use) => ({ ...use, wanted: wanted(use.key) }))
      .filter((use) => use.wanted === undefined || use.wanted.some((name) => !use.values.includes(name)));
    expect(wrong).toEqual([]);
  });
});
