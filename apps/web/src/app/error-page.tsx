import { useRouter, type ErrorComponentProps } from '@tanstack/react-router';
import { isProblem } from '../lib/api/client.ts';
import { useT } from '../lib/locale.tsx';
import { Button, LinkButton } from '../ui/button.tsx';
import { Gate } from '../ui/gate.tsx';
import { Page } from '../ui/page.tsx';
import { Problem } from '../ui/problem-box.tsx';

/** For what a page did not expect. A failed request says so in its own words; a mistake of ours offers to begin again. */
export function ErrorPage(props: ErrorComponentProps) {
  const t = useT();
  return (
    <Page title={t(titleOf(props.error))}>
      <Failure {...props} />
    </Page>
  );
}

/** The same where even the frame could not be built: without navigation. */
export function RootErrorPage(props: ErrorComponentProps) {
  const t = useT();
  return (
    <Gate title={t(titleOf(props.error))}>
      <Failure {...props} />
    </Gate>
  );
}

const titleOf = (error: unknown) => (isProblem(error) ? 'common.failed.title' : 'common.broken.title');

function Failure({ error, reset }: ErrorComponentProps) {
  const t = useT();
  const router = useRouter();
  const again = () => {
    reset();
    void router.invalidate();
  };
  const action = (
    <>
      <Button onPress={again}>{t('common.tryAgain')}</Button>
      <LinkButton kind="plain" to="/">
        {t('common.notFound.go')}
      </LinkButton>
    </>
  );
  return <Problem error={error} action={action} />;
}
