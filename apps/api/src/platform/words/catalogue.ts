import { Inject, Injectable } from '@nestjs/common';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Config } from '../config/config.ts';
import { CONFIG } from '../config/tokens.ts';

export type Language = 'en' | 'es' | 'ar';
export const LOCALES: Record<Language, string> = { en: 'en-GB', es: 'es-ES', ar: 'ar-EG-u-nu-arab' };

/** The one message catalogue that the screens use, for what the API itself writes: mails and labels. */
@Injectable()
export class Catalogue {
  private readonly read = new Map<string, Record<string, string>>();

  constructor(@Inject(CONFIG) private readonly config: Config) {}

  /** The message of a key, as it is written. */
  message(language: Language, area: string, key: string): string {
    const text = this.find(language, area, key);
    if (text === undefined) throw new Error(`There are no words for ${area}.${key} in ${language}`);
    return text;
  }

  /** The same, or undefined where there is none. */
  find(language: Language, area: string, key: string): string | undefined {
    const name = join(language, `${area}.json`);
    let messages = this.read.get(name);
    if (!messages) {
      messages = JSON.parse(readFileSync(join(this.config.messagesDir, name), 'utf8')) as Record<string, string>;
      this.read.set(name, messages);
    }
    return messages[key];
  }
}
