import { simpleParser, type ParsedMail } from 'mailparser';
import { once } from 'node:events';
import type { AddressInfo } from 'node:net';
import { SMTPServer } from 'smtp-server';

/** A mail server that keeps what it is given, and refuses for as long as it is told to. */
export class MailSink {
  readonly mails: ParsedMail[] = [];
  refusals = 0;
  refusing = false;
  private constructor(
    private readonly server: SMTPServer,
    readonly url: string,
  ) {}

  static async open(): Promise<MailSink> {
    const holder: { sink?: MailSink } = {};
    const server = new SMTPServer({
      authOptional: true,
      disabledCommands: ['STARTTLS', 'AUTH'],
      onData: (stream, _session, done) => {
        simpleParser(stream).then((mail) => {
          const { sink } = holder;
          if (!sink) return done(new Error('not open yet'));
          if (sink.refusing) {
            sink.refusals += 1;
            return done(Object.assign(new Error('Come back later'), { responseCode: 451 }));
          }
          sink.mails.push(mail);
          return done();
        }, done);
      },
    });
    server.on('error', () => undefined);
    const listening = server.listen(0, '127.0.0.1');
    await once(listening, 'listening');
    const { port } = listening.address() as AddressInfo;
    holder.sink = new MailSink(server, `smtp://127.0.0.1:${port}`);
    return holder.sink;
  }

  to(address: string): ParsedMail[] {
    return this.mails.filter(({ to }) => [to].flat().some((one) => one?.text.includes(address)));
  }

  close(): Promise<void> {
    return new Promise((resolve) => this.server.close(() => resolve()));
  }
}
