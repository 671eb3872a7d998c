import { useState } from 'react';
import { isProblem } from '../../lib/api/client.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { Choices, Tick } from '../../ui/fields.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { BrokenButton } from './broken-button.tsx';
import { CodeField } from './code-field.tsx';
import { collectedOf, type CollectedContainer, type Collection, type Part } from './collection-query.ts';
import { useDoor, type Door } from './use-collection.ts';
import { useSlotWords } from './use-slot-words.ts';

/** Whoever stands at the door ticks what leaves, by hand or by the code on the label; own and neighbours' lists first. */
export function DoorCard({ collection }: { collection: Collection }) {
  const t = useT();
  const { householdId } = useSession();
  const door = useDoor(collection.roundId);
  const rank = (part: Part) => (part.household.id === householdId ? 0 : part.delegate?.id === householdId ? 1 : 2);
  const parts = [...collection.parts].sort((a, b) => rank(a) - rank(b));
  const mayTick = parts.some((part) => part.mayHandOver);
  return (
    <Card title={t('collection.door')} id="door">
      {parts.length === 0 ? (
        <Empty>{t('collection.nobody')}</Empty>
      ) : (
        <>
          {mayTick && <p className="soft">{t('collection.doorWords')}</p>}
          {mayTick && <CodeField parts={parts} door={door} />}
          <TickProblem door={door} />
          {parts.map((part) => (
            <PartList key={part.household.id} collection={collection} part={part} door={door} />
          ))}
        </>
      )}
    </Card>
  );
}

/** Why a tick was refused; that a household must answer first is said without its reason. */
function TickProblem({ door: { tick, undo } }: { door: Door }) {
  const t = useT();
  if (isProblem(tick.error, 'conflict') && tick.error.params['why'] === 'own-yes') {
    return (
      <p role="alert">
        <StateMark state="waiting">{t('collection.ownYes')}</StateMark>
      </p>
    );
  }
  return <Problem error={tick.error ?? undo.error} />;
}

function PartList({ collection, part, door }: { collection: Collection; part: Part; door: Door }) {
  const t = useT();
  const { householdId, can } = useSession();
  const slotWords = useSlotWords();
  const { household, delegate, containers } = part;
  const isDelegate = delegate?.id === householdId && delegate !== null;
  const [to, setTo] = useState(isDelegate ? delegate : household);
  const taker = [household.id, delegate?.id].includes(to.id) ? to : household;
  const slot = collection.slots.find(({ id }) => id === part.slotId);
  const done = collectedOf(containers);
  return (
    <section className="collect-part" aria-labelledby={`part-${household.id}`}>
      <h3 id={`part-${household.id}`}>
        {household.name} · {t('collection.partCounts', { done, n: containers.length })}
      </h3>
      {(slot || delegate) && (
        <p className="small soft">
          {slot && slotWords(slot)}
          {slot && delegate && ' · '}
          {delegate && t('collection.sends', { delegate: delegate.name })}
        </p>
      )}
      {part.mayHandOver && delegate && done < containers.length && (
        <Choices
          name={`taker-${household.id}`}
          label={t('collection.takes')}
          value={taker.id}
          options={[household, delegate].map(({ id, name }) => ({ value: id, label: name }))}
          onChange={(id) => setTo(id === delegate.id ? delegate : household)}
        />
      )}
      <ul className="collect-list" role="list">
        {containers.map((container) => (
          <ContainerLine key={container.id} {...{ part, container, door }} to={taker} />
        ))}
      </ul>
      {can('coordinator') && done < containers.length && (
        <BrokenButton household={household} containers={containers.filter(({ isCollected }) => !isCollected)} />
      )}
    </section>
  );
}

interface LineProps {
  part: Part;
  container: CollectedContainer;
  to: Part['household'];
  door: Door;
}

function ContainerLine({ part, container, to, door }: LineProps) {
  const t = useT();
  const { code, dish, portions, isCollected, handedOver } = container;
  const words = (
    <span className="collect-words">
      <span>
        <strong>{dish}</strong> · {t('common.portions', { n: portions })}
      </span>
      <span className="small soft">
        <LabelCodes codes={[code]} />
        <Handed container={container} />
      </span>
    </span>
  );
  const isFree = part.mayHandOver && (!isCollected || handedOver !== null);
  return (
    <li>
      {isFree ? (
        <Tick
          tall
          aria-label={t('collection.tick', { dish, code, household: part.household.name })}
          isSelected={isCollected}
          isDisabled={door.tick.isPending || door.undo.isPending}
          onChange={(wanted) => (wanted ? door.tick.mutate({ container, to }) : door.undo.mutate(container))}
        >
          {words}
        </Tick>
      ) : (
        <div className="collect-still">
          {isCollected && <StateMark state="done">{t('common.state.done')}</StateMark>}
          {words}
        </div>
      )}
    </li>
  );
}

function Handed({ container: { handedOver, isCollected } }: { container: CollectedContainer }) {
  const t = useT();
  const formats = useFormats();
  if (!isCollected) return null;
  if (!handedOver) return <> · {t('collection.atHome')}</>;
  const { to, by, at } = handedOver;
  return <> · {t('collection.handedTo', { to: to.name, by, at: formats.dayTime(at) })}</>;
}
