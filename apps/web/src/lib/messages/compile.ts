import { parse, TYPE, type MessageFormatElement } from '@formatjs/icu-messageformat-parser';

/** A message without any variable stays a string; every other one is its parsed form. */
export type CompiledMessage = string | MessageFormatElement[];
export type CompiledMessages = Record<string, CompiledMessage>;

/** Parses every message of one area. Used by the build and by tests, never in the browser. */
export function compileMessages(source: Record<string, string>, file: string): CompiledMessages {
  return Object.fromEntries(
    Object.entries(source).map(([key, text]) => [key, compileMessage(text, `${file}: ${key}`)]),
  );
}

export function compileMessage(text: string, where: string): CompiledMessage {
  let elements: MessageFormatElement[];
  try {
    elements = parse(text, { shouldParseSkeletons: true, requiresOtherClause: true });
  } catch (error) {
    throw new Error(`${where} is not a valid ICU message: ${(error as Error).message} in "${text}"`, { cause: error });
  }
  if (elements.every((element) => element.type === TYPE.literal))
    return elements.map((element) => element.value).join('');
  return markShownVariables(elements);
}

/**
 * A variable that is only shown is renamed from `name` to `$name`. The runtime fills `$name` with the value as people read it (digits of
 * the language, direction isolated) while plural and select keep seeing the raw value under `name`.
 */
function markShownVariables(elements: MessageFormatElement[]): MessageFormatElement[] {
  return elements.map((element) => {
    if (element.type === TYPE.argument) return { ...element, value: `$${element.value}` };
    if (element.type === TYPE.tag) return { ...element, children: markShownVariables(element.children) };
    if (element.type === TYPE.plural || element.type === TYPE.select) {
      const options = Object.entries(element.options).map(([name, option]) => [
        name,
        { ...option, value: markShownVariables(option.value) },
      ]);
      return { ...element, options: Object.fromEntries(options) as typeof element.options };
    }
    return element;
  });
}
