import { labelSheetNames, labelSheets, rational, type LabelSheetName } from '@frostmoot/calc';
import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { api, isProblem, ok } from '../lib/api/client.ts';
import type { Schemas } from '../lib/api/schemas.ts';
import { useFormats } from '../lib/formats.ts';
import { useLocale, useT } from '../lib/locale.tsx';
import { LANGUAGE_NAMES, LANGUAGES, type Language } from '../lib/messages/languages.ts';
import { saveFile } from '../lib/save-file.ts';
import { useCooperativeId } from '../lib/session.tsx';
import { readSetting, writeSetting } from '../lib/settings.ts';
import { useIsOnline } from '../lib/use-is-online.ts';
import { Button } from './button.tsx';
import { Note } from './card.tsx';
import { Dialog } from './dialog.tsx';
import { Select } from './fields.tsx';
import { Form } from './form.tsx';
import { PrintIcon } from './icons.tsx';
import { say } from './toast.tsx';

interface PrintLabelsProps {
  roundId: string;
  /** Only those of this batch. */
  batch?: { id: string; lotCode: string };
  /** To print those of one of them alone. */
  households?: readonly Schemas['Named'][];
  tall?: boolean;
}

/** Labels of sealed containers as a PDF. Pages that use it list the area "labels" at their route. */
export function PrintLabels(props: PrintLabelsProps) {
  const t = useT();
  const [isOpen, setOpen] = useState(false);
  const { batch, tall } = props;
  const title = batch ? t('labels.openFor', { lotCode: batch.lotCode }) : t('labels.title');
  return (
    <>
      <Button icon={<PrintIcon />} tall={tall} onPress={() => setOpen(true)} aria-label={title}>
        {t('labels.title')}
      </Button>
      <Dialog title={title} isOpen={isOpen} onClose={() => setOpen(false)}>
        <Choosing {...props} onDone={() => setOpen(false)} />
      </Dialog>
    </>
  );
}

interface Order {
  sheet: LabelSheetName;
  language: Language;
  first: number;
  householdId: string | undefined;
}

function useMake({ roundId, batch }: PrintLabelsProps, onDone: () => void) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  return useMutation({
    mutationFn: (order: Order) =>
      ok<unknown>(
        api.GET('/api/cooperatives/{cooperativeId}/rounds/{roundId}/labels', {
          params: { path: { cooperativeId, roundId }, query: { ...order, batchId: batch?.id } },
          parseAs: 'blob',
        }),
      ) as Promise<Blob>,
    onSuccess: (pdf) => {
      const name = `${[t('labels.file'), ...(batch ? [batch.lotCode] : [])].join(' ')}.pdf`;
      saveFile(name, pdf);
      say(t('labels.made', { name }));
      onDone();
    },
  });
}

function Choosing(props: PrintLabelsProps & { onDone: () => void }) {
  const t = useT();
  const { language: own } = useLocale();
  const isOnline = useIsOnline();
  const kept = labelSheetNames.find((name) => name === readSetting('labelSheet'));
  const [sheet, setSheet] = useState<LabelSheetName>(kept ?? labelSheetNames[0] ?? 'a4-14');
  const [language, setLanguage] = useState(own);
  const [first, setFirst] = useState('1');
  const [householdId, setHousehold] = useState('');
  const make = useMake(props, props.onDone);
  const { columns, rows } = labelSheets[sheet];
  const sheetName = useSheetName();
  const refusal = isProblem(make.error) ? make.error : null;
  const [fault] = refusal?.errors ?? [];
  const isTooSmall = fault?.code === 'label-too-small';
  if (!isOnline) {
    return (
      <>
        <p role="status">{t('labels.offline')}</p>
        <Button tall={props.tall} onPress={props.onDone}>
          {t('common.close')}
        </Button>
      </>
    );
  }
  return (
    <Form
      label={t('labels.title')}
      onSubmit={() =>
        make.mutate({
          sheet,
          language,
          first: Number(first),
          householdId: householdId || undefined,
        })
      }
      error={isTooSmall || refusal?.code === 'none-left' ? null : make.error}
      acts={
        <>
          <Button type="submit" kind="main" tall={props.tall} isPending={make.isPending}>
            {t('labels.make')}
          </Button>
          <Button kind="plain" tall={props.tall} onPress={props.onDone}>
            {t('common.cancel')}
          </Button>
        </>
      }
    >
      <Select
        label={t('labels.sheet')}
        name="sheet"
        value={sheet}
        options={labelSheetNames.map((name) => ({ value: name, label: sheetName(name) }))}
        error={isTooSmall ? t('labels.tooSmall', { dishes: String(fault.params?.['dishes'] ?? '') }) : undefined}
        onChange={(next) => {
          make.reset();
          setSheet(next as LabelSheetName);
          // Another sheet is a new one, and may have fewer places.
          setFirst('1');
          writeSetting('labelSheet', next);
        }}
      />
      <Select
        label={t('labels.language')}
        name="language"
        value={language}
        options={LANGUAGES.map((code) => ({ value: code, label: LANGUAGE_NAMES[code] }))}
        onChange={(next) => setLanguage(next as Language)}
      />
      {props.households && (
        <Select
          label={t('labels.whose')}
          name="householdId"
          value={householdId}
          options={[
            { value: '', label: t('labels.everybody') },
            ...props.households.map(({ id, name }) => ({ value: id, label: name })),
          ]}
          onChange={(next) => {
            make.reset();
            setHousehold(next);
          }}
        />
      )}
      {columns * rows > 1 && <FirstPlace count={columns * rows} value={first} onChange={setFirst} />}
      {refusal?.code === 'none-left' && <p role="alert">{t('labels.none')}</p>}
      <Note>
        <p>{t('labels.words')}</p>
      </Note>
    </Form>
  );
}

/** A sheet from which some labels are gone is used on. */
function FirstPlace({ count, value, onChange }: { count: number; value: string; onChange: (value: string) => void }) {
  const t = useT();
  const formats = useFormats();
  return (
    <Select
      label={t('labels.first')}
      hint={t('labels.firstHint')}
      name="first"
      value={value}
      options={Array.from({ length: count }, (_, index) => ({
        value: String(index + 1),
        label: formats.number(index + 1),
      }))}
      onChange={onChange}
    />
  );
}

function useSheetName() {
  const t = useT();
  const formats = useFormats();
  return (name: LabelSheetName): string => {
    const { columns, rows, label } = labelSheets[name];
    const [width, height] = label.map((tenths) => formats.quantity(rational.rational(BigInt(tenths), 10n))) as [
      string,
      string,
    ];
    return columns * rows === 1
      ? t('labels.sheet.single', { width, height })
      : t('labels.sheet.a4', { n: columns * rows, width, height });
  };
}
