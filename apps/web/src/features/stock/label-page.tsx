import { cooperativeMark } from '@frostmoot/calc';
import { getRouteApi, Navigate, useNavigate } from '@tanstack/react-router';
import { useT } from '../../lib/locale.tsx';
import { useChooseCooperative, useSession } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Page } from '../../ui/page.tsx';

const route = getRouteApi('/member/L/$mark/$code');

/** What the code on a label says to a telephone's own camera. Codes are the same in every cooperative, so the mark is looked at before anything is opened. */
export function LabelPage() {
  const t = useT();
  const navigate = useNavigate();
  const { me, cooperativeId } = useSession();
  const choose = useChooseCooperative();
  const params = route.useParams();
  const [mark, code] = [params.mark.toUpperCase(), params.code.toUpperCase()];
  if (mark === cooperativeMark(cooperativeId)) return <Navigate to="/freezer" search={{ code }} replace />;
  const own = me.memberships.find((each) => mark === cooperativeMark(each.cooperativeId));
  const openThere = async (there: string) => {
    await choose(there);
    await navigate({ to: '/freezer', search: { code }, replace: true });
  };
  return (
    <Page title={t('freezer.label.title')}>
      <p className="measure">
        {own
          ? t('freezer.label.alsoYours', { code, cooperative: own.cooperativeName })
          : t('freezer.label.other', { code })}
      </p>
      <div className="row">
        {own && (
          <Button kind="main" onPress={() => void openThere(own.cooperativeId)}>
            {t('freezer.label.openThere', { cooperative: own.cooperativeName })}
          </Button>
        )}
        <LinkButton kind={own ? 'normal' : 'main'} to="/freezer">
          {t('freezer.label.ownFreezer')}
        </LinkButton>
      </div>
    </Page>
  );
}
