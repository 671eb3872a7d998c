import { Inject, Injectable, type OnApplicationShutdown, type OnModuleInit } from '@nestjs/common';
import { noticePaths } from '@frostmoot/contract';
import { createTransport, type Transporter } from 'nodemailer';
import type { Actor } from '../platform/auth/actor.ts';
import type { Config } from '../platform/config/config.ts';
import { CONFIG } from '../platform/config/tokens.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { Jobs } from '../platform/jobs/jobs.service.ts';
import { MailWords, type MailPlace } from './mail-words.ts';
import { NoticesRepository, type NoticeRow, type Receiver } from './notices.repository.ts';

/** The kind of job that sends one notice to the people of its household. */
export const NOTICE_MAIL = 'notice-mail';
/** A mail server that is away for a night is no reason to lose a notice. */
const TRIES_AGAIN_AFTER = [5, 30, 120, 600, 1800, 3600, 7200, 14_400, 28_800];

/** Sends notices by mail, each person in their own language; who has had it does not get it twice when another's could not be sent. */
@Injectable()
export class NoticeMail implements OnModuleInit, OnApplicationShutdown {
  private transport: Transporter | undefined;

  constructor(
    private readonly jobs: Jobs,
    private readonly unitOfWork: UnitOfWork,
    private readonly rows: NoticesRepository,
    private readonly words: MailWords,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  onModuleInit(): void {
    if (this.config.smtpUrl !== undefined) this.transport = createTransport(this.config.smtpUrl);
    this.jobs.register({
      kind: NOTICE_MAIL,
      triesAgainAfter: TRIES_AGAIN_AFTER,
      maySee: (actor) => actor.roles.includes('coordinator'),
      run: ({ actor, subjectId }, _report, signal) => this.send(actor, subjectId as string, signal),
    });
  }

  onApplicationShutdown(): void {
    this.transport?.close();
  }

  private async send(actor: Actor, noticeId: string, signal: AbortSignal): Promise<{ sent: number }> {
    if (!this.transport) return { sent: 0 };
    const found = await this.unitOfWork.read(actor, async (tx) => {
      const notice = await this.rows.find(tx, actor, noticeId);
      if (!notice) return null;
      const receivers = await this.rows.receivers(tx, actor, noticeId, notice.householdId);
      return { notice, receivers, cooperative: await this.rows.cooperative(tx, actor) };
    });
    let sent = 0;
    for (const receiver of found?.receivers ?? []) {
      if (!found || signal.aborted) break;
      await this.transport.sendMail(this.mailOf(found.notice, receiver, found.cooperative));
      await this.unitOfWork.write(actor, (tx) => this.rows.mailed(tx, actor, noticeId, receiver.personId));
      sent += 1;
    }
    return { sent };
  }

  private mailOf(notice: NoticeRow, receiver: Receiver, place: MailPlace & { name: string }) {
    const { kind, facts, id, subjectId } = notice;
    const { publicUrl, mailFrom } = this.config;
    const { locale, email, displayName, personId } = receiver;
    const say = (key: string, values = facts) => this.words.say(locale, key, values, place);
    const link = new URL(noticePaths[kind](subjectId ?? ''), publicUrl).href;
    const title = say(`${kind}.title`);
    const end = say('mail.end', { cooperative: place.name, link: new URL('/notices', publicUrl).href });
    const lines = [title, say(`${kind}.words`), say('mail.open', { link }), end];
    return {
      from: mailFrom,
      to: { name: displayName, address: email },
      subject: `${place.name}: ${title}`,
      // The same notice keeps its name, so that a mail sent twice is known as one.
      messageId: `<${id}.${personId}@${new URL(publicUrl).hostname}>`,
      headers: { 'Content-Language': locale, 'Auto-Submitted': 'auto-generated' },
      text: `${lines.join('\n\n')}\n`,
      html: htmlOf(lines, link, locale, this.words.direction(locale)),
    };
  }
}

const escaped = (text: string): string =>
  text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');

/** The same words with their direction, which plain text cannot say. */
function htmlOf(lines: readonly string[], link: string, language: string, direction: 'ltr' | 'rtl'): string {
  const linked = (line: string) =>
    escaped(line).replaceAll(escaped(link), `<a href="${escaped(link)}">${escaped(link)}</a>`);
  const paragraphs = lines.map((line, index) =>
    index === 0 ? `<p><b>${linked(line)}</b></p>` : `<p>${linked(line)}</p>`,
  );
  return `<!doctype html><html lang="${escaped(language)}" dir="${direction}"><body>${paragraphs.join('')}</body></html>`;
}
