import { Module } from '@nestjs/common';
import { MailWords } from './mail-words.ts';
import { NoticeMail } from './notice-mail.ts';
import { NoticesController } from './notices.controller.ts';
import { NoticesRepository } from './notices.repository.ts';
import { NoticesService } from './notices.service.ts';

/** What households are told, on the screen and by mail. */
@Module({
  controllers: [NoticesController],
  providers: [NoticesService, NoticesRepository, NoticeMail, MailWords],
  exports: [NoticesService],
})
export class NoticesModule {}
