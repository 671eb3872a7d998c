import type { QueryClient } from '@tanstack/react-query';
import { createRootRouteWithContext, createRoute, Outlet, redirect } from '@tanstack/react-router';
import * as z from 'zod/mini';
import { loadSession } from '../lib/session.tsx';
import { Toasts } from '../ui/toast.tsx';
import { RootErrorPage } from './error-page.tsx';
import { lazyPage } from './lazy-page.ts';
import { NotFoundPage } from './not-found-page.tsx';
import { Shell } from './shell.tsx';

// Every address of the app. A page is fetched with the words of the areas named beside it; what a page keeps in the address (a filter, a
// chosen item) is declared here by `validateSearch`, so that each view has a link that works again.

const root = createRootRouteWithContext<{ queryClient: QueryClient }>()({
  errorComponent: RootErrorPage,
  component: () => (
    <>
      <Outlet />
      <Toasts />
    </>
  ),
});

const returnSearch = z.object({ return: z.optional(z.string()) });

const signIn = createRoute({
  getParentRoute: () => root,
  path: 'sign-in',
  validateSearch: returnSearch,
  component: lazyPage(['signIn'], () => import('../features/identity/sign-in-page.tsx'), 'SignInPage'),
});

const setUp = createRoute({
  getParentRoute: () => root,
  path: 'set-up',
  component: lazyPage(['signIn'], () => import('../features/cooperatives/set-up-page.tsx'), 'SetUpPage'),
});

const invitation = createRoute({
  getParentRoute: () => root,
  path: 'invitation',
  validateSearch: z.object({ cooperative: z.optional(z.string()), token: z.optional(z.string()) }),
  component: lazyPage(['signIn'], () => import('../features/identity/invitation-page.tsx'), 'InvitationPage'),
});

/** Everything below is for those who are signed in; others come back here after signing in. */
const member = createRoute({
  getParentRoute: () => root,
  id: 'member',
  beforeLoad: async ({ context, location }) => {
    const session = await loadSession(context.queryClient);
    if (!session) throw redirect({ to: '/sign-in', search: { return: location.href }, replace: true });
  },
  component: Shell,
  errorComponent: RootErrorPage,
});

/** Any other address, inside the frame. */
const elsewhere = createRoute({ getParentRoute: () => member, path: '$', component: NotFoundPage });

const thisWeek = createRoute({
  getParentRoute: () => member,
  path: '/',
  component: lazyPage(['thisWeek'], () => import('../features/cooperatives/this-week-page.tsx'), 'ThisWeekPage'),
});

const rounds = createRoute({
  getParentRoute: () => member,
  path: 'round',
  validateSearch: z.object({ all: z.optional(z.boolean()) }),
  component: lazyPage(['round'], () => import('../features/rounds/rounds-page.tsx'), 'RoundsPage'),
});

const startRound = createRoute({
  getParentRoute: () => member,
  path: 'round/start',
  component: lazyPage(['round'], () => import('../features/rounds/start-round-page.tsx'), 'StartRoundPage'),
});

const round = createRoute({ getParentRoute: () => member, path: 'rounds/$roundId' });

const roundStart = createRoute({
  getParentRoute: () => round,
  path: '/',
  component: lazyPage(['round'], () => import('../features/rounds/round-start-page.tsx'), 'RoundStartPage'),
});

const plan = createRoute({
  getParentRoute: () => round,
  path: 'plan',
  staticData: { stage: 'plan' },
  component: lazyPage(['round', 'food'], () => import('../features/rounds/plan-page.tsx'), 'PlanPage'),
});

const buy = createRoute({
  getParentRoute: () => round,
  path: 'buy',
  staticData: { stage: 'buy', handsBusy: 'phone' },
  validateSearch: z.object({ seller: z.optional(z.string()), line: z.optional(z.string()) }),
  component: lazyPage(['round', 'buying', 'food'], () => import('../features/buying/buying-page.tsx'), 'BuyingPage'),
});

const receipt = createRoute({
  getParentRoute: () => round,
  path: 'buy/receipt',
  staticData: { stage: 'buy' },
  validateSearch: z.object({ seller: z.optional(z.string()) }),
  component: lazyPage(['round', 'buying', 'food'], () => import('../features/buying/receipt-page.tsx'), 'ReceiptPage'),
});

const offers = createRoute({
  getParentRoute: () => member,
  path: 'offers',
  validateSearch: z.object({
    ingredient: z.optional(z.string()),
    seller: z.optional(z.string()),
    find: z.optional(z.string()),
  }),
  component: lazyPage(['buying', 'food'], () => import('../features/buying/offers-page.tsx'), 'OffersPage'),
});

const cook = createRoute({
  getParentRoute: () => round,
  path: 'cook',
  staticData: { stage: 'cook', handsBusy: 'always', kitchen: true },
  validateSearch: z.object({ batch: z.optional(z.string()) }),
  component: lazyPage(
    ['round', 'kitchen', 'food', 'labels'],
    () => import('../features/kitchen/kitchen-page.tsx'),
    'KitchenPage',
  ),
});

const shareOut = createRoute({
  getParentRoute: () => round,
  path: 'share-out',
  staticData: { stage: 'share-out' },
  component: lazyPage(
    ['round', 'shareOut', 'food', 'labels'],
    () => import('../features/share-outs/share-out-page.tsx'),
    'ShareOutPage',
  ),
});

const collect = createRoute({
  getParentRoute: () => round,
  path: 'collect',
  component: lazyPage(
    ['round', 'collection', 'scan'],
    () => import('../features/collection/collection-page.tsx'),
    'CollectionPage',
  ),
});

const roundSwap = createRoute({
  getParentRoute: () => round,
  path: 'swap',
  component: lazyPage(
    ['round', 'swaps', 'food'],
    () => import('../features/swaps/round-swap-page.tsx'),
    'RoundSwapPage',
  ),
});

const roundAccount = createRoute({
  getParentRoute: () => round,
  path: 'account',
  component: lazyPage(
    ['round', 'accounts'],
    () => import('../features/rounds/round-account-page.tsx'),
    'RoundAccountPage',
  ),
});

const recipes = createRoute({
  getParentRoute: () => member,
  path: 'recipes',
  validateSearch: z.object({
    find: z.optional(z.string()),
    allergen: z.optional(z.string()),
    sort: z.optional(z.string()),
  }),
  component: lazyPage(['recipes', 'food'], () => import('../features/recipes/recipes-page.tsx'), 'RecipesPage'),
});

const recipe = createRoute({
  getParentRoute: () => member,
  path: 'recipes/$recipeId',
  validateSearch: z.object({ portions: z.optional(z.coerce.number()), version: z.optional(z.coerce.number()) }),
  component: lazyPage(['recipes', 'food'], () => import('../features/recipes/recipe-page.tsx'), 'RecipePage'),
});

const newRecipe = createRoute({
  getParentRoute: () => member,
  path: 'recipes/new',
  component: lazyPage(['recipes', 'food'], () => import('../features/recipes/edit-recipe-page.tsx'), 'NewRecipePage'),
});

const editRecipe = createRoute({
  getParentRoute: () => member,
  path: 'recipes/$recipeId/edit',
  component: lazyPage(['recipes', 'food'], () => import('../features/recipes/edit-recipe-page.tsx'), 'EditRecipePage'),
});

const ingredients = createRoute({
  getParentRoute: () => member,
  path: 'ingredients',
  validateSearch: z.object({ find: z.optional(z.string()), ingredient: z.optional(z.string()) }),
  component: lazyPage(['recipes', 'food'], () => import('../features/recipes/ingredients-page.tsx'), 'IngredientsPage'),
});

const freezer = createRoute({
  getParentRoute: () => member,
  path: 'freezer',
  validateSearch: z.object({
    code: z.optional(z.string()),
    find: z.optional(z.string()),
    by: z.optional(z.enum(['place'])),
  }),
  component: lazyPage(['freezer', 'food', 'scan'], () => import('../features/stock/freezer-page.tsx'), 'FreezerPage'),
});

/** What the code on a label says to a telephone's own camera. */
const label = createRoute({
  getParentRoute: () => member,
  path: 'L/$mark/$code',
  component: lazyPage(['freezer'], () => import('../features/stock/label-page.tsx'), 'LabelPage'),
});

const swaps = createRoute({
  getParentRoute: () => member,
  path: 'swaps',
  validateSearch: z.object({
    swap: z.optional(z.string()),
    offer: z.optional(z.string()),
    ask: z.optional(z.string()),
    counter: z.optional(z.string()),
  }),
  component: lazyPage(['swaps', 'food'], () => import('../features/swaps/swaps-page.tsx'), 'SwapsPage'),
});

const accounts = createRoute({
  getParentRoute: () => member,
  path: 'accounts',
  validateSearch: z.object({
    book: z.optional(z.enum(['money', 'portions', 'turns'])),
    household: z.optional(z.string()),
    whole: z.optional(z.boolean()),
  }),
  component: lazyPage(['accounts'], () => import('../features/accounts/accounts-page.tsx'), 'AccountsPage'),
});

const household = createRoute({
  getParentRoute: () => member,
  path: 'household',
  validateSearch: z.object({ household: z.optional(z.string()) }),
  component: lazyPage(
    ['household', 'food'],
    () => import('../features/cooperatives/household-page.tsx'),
    'HouseholdPage',
  ),
});

const coordinator = createRoute({
  getParentRoute: () => member,
  path: 'coordinator',
  component: lazyPage(
    ['coordinator', 'household', 'food'],
    () => import('../features/cooperatives/coordinator-page.tsx'),
    'CoordinatorPage',
  ),
});

const notices = createRoute({
  getParentRoute: () => member,
  path: 'notices',
  component: lazyPage(['notices'], () => import('../features/notices/notices-page.tsx'), 'NoticesPage'),
});

const rota = createRoute({
  getParentRoute: () => member,
  path: 'rota',
  component: lazyPage(['rota', 'thisWeek'], () => import('../features/rota/rota-page.tsx'), 'RotaPage'),
});

const turns = createRoute({
  getParentRoute: () => member,
  path: 'turns',
  validateSearch: z.object({ swap: z.optional(z.string()) }),
  component: lazyPage(['rota', 'thisWeek'], () => import('../features/rota/turns-page.tsx'), 'TurnsPage'),
});

const recalls = createRoute({
  getParentRoute: () => member,
  path: 'recalls',
  validateSearch: z.object({ source: z.optional(z.string()) }),
  component: lazyPage(['recalls', 'food'], () => import('../features/recalls/recalls-page.tsx'), 'RecallsPage'),
});

const recall = createRoute({
  getParentRoute: () => member,
  path: 'recalls/$recallId',
  component: lazyPage(['recalls', 'food', 'scan'], () => import('../features/recalls/recall-page.tsx'), 'RecallPage'),
});

export const routeTree = root.addChildren([
  signIn,
  setUp,
  invitation,
  member.addChildren([
    thisWeek,
    elsewhere,
    rounds,
    startRound,
    round.addChildren([roundStart, plan, buy, receipt, cook, shareOut, collect, roundSwap, roundAccount]),
    offers,
    recipes,
    newRecipe,
    recipe,
    editRecipe,
    ingredients,
    freezer,
    label,
    swaps,
    accounts,
    household,
    coordinator,
    notices,
    rota,
    turns,
    recalls,
    recall,
  ]),
]);
