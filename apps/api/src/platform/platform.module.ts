import { Global, Module, type DynamicModule } from '@nestjs/common';
import { APP_FILTER, APP_GUARD, APP_INTERCEPTOR, APP_PIPE } from '@nestjs/core';
import { Attempts } from './auth/attempts.ts';
import { AuthGuard } from './auth/auth.guard.ts';
import { Passwords } from './auth/passwords.ts';
import { SessionRepository } from './auth/session.repository.ts';
import { Clock } from './clock/clock.ts';
import type { Config } from './config/config.ts';
import { CONFIG } from './config/tokens.ts';
import { OldRows } from './db/old-rows.ts';
import { Database } from './db/prisma.ts';
import { UnitOfWork } from './db/unit-of-work.ts';
import { EventsController } from './events/events.controller.ts';
import { EventsService } from './events/events.service.ts';
import { OutboxListener } from './events/listener.ts';
import { OutboxRepository } from './events/outbox.repository.ts';
import { AnswerInterceptor } from './http/answer.interceptor.ts';
import { ProblemFilter } from './http/problem.filter.ts';
import { RequestContextInterceptor } from './http/request-context.interceptor.ts';
import { InputPipe } from './http/validation.ts';
import { JobRepository } from './jobs/job.repository.ts';
import { JobRunner } from './jobs/job-runner.ts';
import { JobsController } from './jobs/jobs.controller.ts';
import { Jobs } from './jobs/jobs.service.ts';
import { HealthController } from './observability/health.controller.ts';
import { OpenApiController } from './openapi/openapi.controller.ts';
import { OpenApiSource } from './openapi/openapi-source.ts';
import { SharedCalc } from './solver/shared-calc.ts';
import { SharedSolver } from './solver/shared-solver.ts';
import { Catalogue } from './words/catalogue.ts';

/** What every capability stands on. */
@Global()
@Module({})
export class PlatformModule {
  static with(config: Config): DynamicModule {
    return {
      module: PlatformModule,
      controllers: [EventsController, HealthController, JobsController, OpenApiController],
      providers: [
        { provide: CONFIG, useValue: config },
        Clock,
        Database,
        UnitOfWork,
        OldRows,
        SessionRepository,
        Passwords,
        Attempts,
        OutboxListener,
        OutboxRepository,
        EventsService,
        JobRepository,
        Jobs,
        JobRunner,
        OpenApiSource,
        SharedCalc,
        SharedSolver,
        Catalogue,
        { provide: APP_FILTER, useClass: ProblemFilter },
        { provide: APP_GUARD, useClass: AuthGuard },
        { provide: APP_PIPE, useClass: InputPipe },
        { provide: APP_INTERCEPTOR, useClass: RequestContextInterceptor },
        { provide: APP_INTERCEPTOR, useClass: AnswerInterceptor },
      ],
      exports: [
        CONFIG,
        Clock,
        Database,
        UnitOfWork,
        SessionRepository,
        Passwords,
        Attempts,
        SharedCalc,
        SharedSolver,
        Jobs,
        Catalogue,
      ],
    };
  }
}
