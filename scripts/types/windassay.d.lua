---@meta windassay
-- What a script finds in the sandbox, for editors that read LuaCATS. Never run; held against the
-- live sandbox by tests/scripts/interface.py. What each does: docs/reference/.

---A value that is not there.
---@class missing
missing = {}

---Raises: there is no result, and that is an outcome.
---@param reason string
function undefined(reason) end

-- Columns and masks ------------------------------------------------------------------------------

---A number with its unit: { 0.5, "m/s" }.
---@alias quantity number|{ [1]: number, [2]: string }

---@class Column
---@field unit string
---@operator len: integer
---@operator add(Column|quantity): Column
---@operator sub(Column|quantity): Column
---@operator mul(Column|quantity): Column
---@operator div(Column|quantity): Column
---@operator pow(number): Column
---@operator unm: Column
---@field [integer] number|missing
local Column = {}

---@return Column
function Column:abs() end
---@return Column
function Column:sqrt() end
---@return Column
function Column:exp() end
---@return Column
function Column:log() end
---@param unit string
---@return Column
function Column:to(unit) end
---@param n integer
---@return Column
function Column:lag(n) end
---@param n integer odd
---@return Column
function Column:rolling_median(n) end
---@param n integer odd
---@return Column
function Column:rolling_mad(n) end
---@param mask Mask
---@return Column
function Column:where(mask) end
---@return number
function Column:mean() end
---@return number
function Column:sd() end
---@return number
function Column:min() end
---@return number
function Column:max() end
---@return number
function Column:sum() end
---@return integer
function Column:count() end
---@param p number
---@return number
function Column:quantile(p) end
---@return number
function Column:median() end
---@param lag integer
---@return number
function Column:autocorrelation(lag) end
---@return number
function Column:effective_count() end
---@param bound number|Column
---@param unit? string
---@return Mask
function Column:below(bound, unit) end
---@param bound number|Column
---@param unit? string
---@return Mask
function Column:above(bound, unit) end
---@param value number|Column
---@param unit? string
---@return Mask
function Column:equals(value, unit) end
---@param lower number|Column
---@param upper number|Column
---@param unit? string
---@return Mask
function Column:between(lower, upper, unit) end
---@param from number
---@param to number
---@return Mask
function Column:in_sector(from, to) end
---@return Mask
function Column:missing() end
---@param n integer
---@return Mask
function Column:unchanged(n) end

---True, false or unknown for each row.
---@class Mask
---@operator len: integer
---@operator band(Mask): Mask
---@operator bor(Mask): Mask
---@operator bnot: Mask
---@field [integer] boolean|missing
local Mask = {}

---@param n integer
---@return Mask
function Mask:grow(n) end
---@param n integer
---@return Mask
function Mask:held(n) end
---@param off Mask
---@return Mask
function Mask:latch(off) end
---@param state? "unknown"
---@return integer
function Mask:count(state) end

column = {}
---@param values (number|missing)[]
---@param unit? string
---@return Column
function column.new(values, unit) end

-- Angles in degrees ------------------------------------------------------------------------------

angle = {}
---@generic T: number|Column
---@param x T
---@return T
function angle.sin(x) end
---@generic T: number|Column
---@param x T
---@return T
function angle.cos(x) end
---@generic T: number|Column
---@param x T
---@return T
function angle.tan(x) end
---@generic T: number|Column
---@param x T
---@return T
function angle.asin(x) end
---@generic T: number|Column
---@param x T
---@return T
function angle.acos(x) end
---@generic T: number|Column
---@param y T
---@param x T
---@return T
function angle.atan2(y, x) end

circular = {}
---@param c Column
---@return number
function circular.mean(c) end
---@param c Column
---@return number
function circular.resultant(c) end
---@param c Column
---@return number
function circular.sd(c) end
---@param c Column
---@return number
function circular.yamartino_sd(c) end
---@param c Column
---@return number
function circular.angular_deviation(c) end
---@generic T: number|Column
---@param a T
---@param b T
---@return T
function circular.difference(a, b) end

-- Fits, bins, comparison -------------------------------------------------------------------------

fit = {}
---@param x Column
---@param y Column
---@param options? { weights: Column }
---@return { n: integer, left_out: integer, dof: integer, slope: number, slope_u: number, residual_sd: number, r2_uncentred: number, r2_centred: number, r2_pearson: number }
function fit.through_origin(x, y, options) end
---@param x Column
---@param y Column
---@return { n: integer, left_out: integer, dof: integer, slope: number, intercept: number, slope_u: number, intercept_u: number, covariance: number, residual_sd: number, r2_pearson: number, predict: fun(x: number): number, number }
function fit.line(x, y) end
---@param y Column
---@param columns table<string, Column>
---@param options? { intercept: boolean }
---@return { n: integer, left_out: integer, dof: integer, coefficients: table<string, number>, coefficients_u: table<string, number>, covariance: table, residual_sd: number, r2_pearson: number }
function fit.least_squares(y, columns, options) end
---@param direction Column
---@param y Column
---@param options? { rectified: boolean, offset: boolean, near: number }
---@return table
function fit.cosine(direction, y, options) end
---@param direction Column
---@param x Column
---@param y Column
---@param options { at: Column, offset?: boolean }
---@return { n: integer, left_out: integer, dof: integer, direction: number, direction_u: number, gain: number, offset: number, rss: number, rss_at: Column, gain_at: Column, offset_at: Column, gain_unit: string }
function fit.scan(direction, x, y, options) end
---@param x Column
---@param y Column
---@param options? { ratio: number }
---@return table
function fit.deming(x, y, options) end
---@param x Column
---@param y Column
---@param options { u_x: Column|number, u_y: Column|number, correlation?: Column|number, through_origin?: boolean }
---@return table
function fit.york(x, y, options) end
---@param x Column
---@param y Column
---@return table
function fit.theil_sen(x, y) end

---@class BinOptions
---@field width? number
---@field lowest? number
---@field highest? number
---@field centred_on? number
---@field edges? number[]
---@field at_least? integer

---@class Bins
---@operator len: integer
---@field centre Column
---@field count Column
---@field days Column
---@field complete boolean[]
---@field outside Mask
local Bins = {}
---@param c Column
---@return Column
function Bins:mean(c) end
---@param c Column
---@return Column
function Bins:sd(c) end
---@param c Column
---@return Column
function Bins:rms(c) end
---@param c Column
---@return Column
function Bins:standard_error(c) end
---@param c Column
---@return Column
function Bins:min(c) end
---@param c Column
---@return Column
function Bins:max(c) end
---@param m Mask
---@return Column
function Bins:share(m) end

bin = {}
---@param reference Column
---@param options BinOptions
---@return Bins
function bin.by(reference, options) end

compare = {}
---@param measured Column
---@param reference Column
---@param options BinOptions
---@param sorted_by? Column
---@return { bins: Bins, centre: Column, count: Column, reference_mean: Column, measured_mean: Column, deviation_mean: Column, deviation_sd: Column, standard_error: Column, relative_deviation: Column, rows: table[], columns: table[], through_origin: table, line: table }
function compare.by_bin(measured, reference, options, sorted_by) end

correlate = {}
---@param a Column
---@param b Column
---@param options { within: integer, differences?: boolean }
---@return table
function correlate.lag(a, b, options) end

-- Wind from several beams ------------------------------------------------------------------------

---@class Beam
---@field azimuth number
---@field elevation? number
---@field zenith? number
---@field height? number
---@field note? string

reconstruct = {}
---@param beams Beam[]
---@param speeds (Column|number|missing)[]
---@param options { frame: "earth"|"nacelle", weights?: number|number[], model?: "uvw"|"uv"|"shear", tilt?: Column|quantity, roll?: Column|quantity, u?: number|number[], u_common?: number|number[], height?: number }
---@return { u: Column, v: Column, w: Column, shear: Column, speed: Column, direction: Column, speed_u: Column, direction_u: Column, covariance: table<string, table<string, Column>>, condition: Column, residual_sd: Column, beams: Column, n: integer, left_out: integer, with_a_beam_dropped: integer, reasons: { reason: string, records: integer, mask: Mask }[] }
function reconstruct.wind(beams, speeds, options) end

---@class ResampleOptions
---@field x Column
---@field y? Column
---@field statistic "mean"|"deviation"|"ratio"|"through_origin"|"line"|"intercept"|"through_origin.bin_means"|"line.bin_means"
---@field bins? BinOptions
---@field time? Column
---@field interval? number
---@field length? integer|"cube root"
---@field times? integer
---@field seed? integer
---@field coverage? number

resample = {}
---@param options ResampleOptions
---@return { estimate: number, standard_error: number, standard_error_iid: number, interval: { low: number, high: number, coverage: number }, values: Column, seed: integer, generator: string, blocks: integer, runs: integer, length: integer, times: integer, undefined: integer, n: integer, left_out: integer, statistic: string, unit: string }
function resample.blocks(options) end
---@param options { x: Column, y?: Column, statistic: string, bins?: BinOptions, time?: Column }
---@return { estimate: number, standard_error: number, least: number, most: number, spread: number, rows: { date: string, records: integer, value: number|missing }[], columns: table[], values: Column, days: integer, n: integer, left_out: integer, statistic: string, unit: string }
function resample.leave_out_days(options) end
quantile = {}
---@param p number
---@return number
function quantile.normal(p) end
---@param p number
---@param dof number
---@return number
function quantile.t(p, dof) end
---@param p number
---@param dof_above number
---@param dof_below number
---@return number
function quantile.f(p, dof_above, dof_below) end
---@param p number
---@param dof number
---@return number
function quantile.chi2(p, dof) end

---@class Quantity
---@field value number
---@field u number
---@field U number
---@field k number
---@field dof number
---@field unit string
---@field source string
---@field expanded fun(self: Quantity, k: number|{ probability: number }): number

quantity = {}
---@param stated { value?: number, u?: number, U?: number, k?: number, half_width?: number, shape?: string, unit?: string, dof?: number, source?: string }
---@return Quantity
function quantity.new(stated) end

---@class ComponentOptions
---@field kind? "A"|"B"
---@field shape? "normal"|"rectangular"|"triangular"|"u_shaped"
---@field k? number
---@field sensitivity? number|Column|table
---@field group? string
---@field dof? number|Column
---@field source? string
---@field evidence? string

---@class Budget
local Budget = {}
---@param name string
---@param u number|Column|Quantity|table
---@param options? ComponentOptions
---@return Budget
function Budget:add(name, u, options) end
---@param other Budget|table[]
---@param options? { sensitivity: number|Column|table }
---@return Budget
function Budget:include(other, options) end
---@return number|Column
function Budget:combined() end
---@param k number|{ probability: number }
---@return number|Column
function Budget:expanded(k) end
---@return number|Column
function Budget:dof() end
---@param bin integer
---@return Quantity
function Budget:at(bin) end
---@param options? { weights?: Column, relative_to?: Column }
---@return Quantity
function Budget:overall(options) end
---@param options? { k: number }
---@return table
function Budget:table(options) end
---@return table
function Budget:components() end

budget = {}
---@param bins? Bins|integer
---@param options? { unit: string }
---@return Budget
function budget.new(bins, options) end

uncertainty = {}
---@param f function
---@param inputs table
---@param options? { correlation?: table, unit?: string }
---@return Quantity|table
function uncertainty.propagate(f, inputs, options) end

monte_carlo = {}
---@param f function
---@param inputs table
---@param options? { trials?: integer, seed?: integer, probability?: number, digits?: integer, most?: integer, correlation?: table }
---@return Quantity|{ mean: number, interval: number[], shortest: number[], trials: integer, seed: integer, generator: string, recorded: string, tolerance: number }
function monte_carlo.propagate(f, inputs, options) end
---@param propagated Quantity
---@param trials table
---@param options? { digits: integer }
---@return { low: number, high: number, tolerance: number, valid: boolean }
function monte_carlo.validate(propagated, trials, options) end

conformity = {}
---@param stated { value: number, u: number|Budget|Quantity, lower?: number, upper?: number }
---@return number
function conformity.probability(stated) end
---@param stated { value: number, u?: number|Budget|Quantity, lower?: number, upper?: number, rule?: "simple"|"guarded"|"non-binary", k?: number }
---@return { outcome: string, guard_band: number, probability: number, reason: string }
function conformity.decide(stated) end
---@param stated { prior: number, prior_u: number, u: number|Budget|Quantity, lower?: number, upper?: number, guard_band?: number, accept_lower?: number, accept_upper?: number }
---@return { consumer: number, producer: number, conforming: number, accepted: number, nonconforming_of_accepted: number }
function conformity.global_risk(stated) end

-- A check ----------------------------------------------------------------------------------------

---@class Channel
---@field mean Column
---@field sd Column
---@field min Column
---@field max Column
---@field count Column
---@field availability Column
---@field resultant Column
---@field share table<string, Column>
---@field name string
---@field quantity string
---@field unit string
---@field source string
---@field height? number
---@field use? string
---@field instrument? string
---@field beam? number
---@field range? number
local Channel = {}
---@param statistic string
---@return boolean
function Channel:gives(statistic) end

---@class Selector
---@field quantity? string
---@field height? number
---@field use? string
---@field name? string
---@field source? string
---@field beam? number
---@field range? number
---@field instrument? string

---@class Role
local Role = {}
---@param which Selector
---@return Channel
function Role:find(which) end
---@param which? Selector
---@return Channel[]
function Role:all(which) end
---@param place { beam: number?, range: number?, source: string? }
---@return table<string, Channel>
function Role:at(place) end

---@class Intervals
---@operator len: integer
---@field time Column
---@field interval number
---@field name string
---@field reference Role
---@field unit Role
local Intervals = {}
---@param reason string
---@param mask Mask
---@param options? { unknown: "keep"|"exclude" }
function Intervals:exclude(reason, mask, options) end
---@param ... string|Column
function Intervals:need(...) end
---@param ... Column|Mask
---@return Column ...
function Intervals:kept(...) end
---@param ... Column|Mask
---@return Column ...
function Intervals:so_far(...) end
---@param bins Bins
function Intervals:binned(bins) end

---Tells the dossier what was compared in each kept interval; without `deviation` it is
---`measured - reference`.
---@param measured Column
---@param reference Column
---@param deviation? Column
function Intervals:compared(measured, reference, deviation) end
---@param phase { from: string, to: string }
---@return Mask
function Intervals:during(phase) end
---@return { date: string, mask: Mask }[]
function Intervals:days() end

---@class Instrument
---@field name string
---@field class? string
---@field fitted table[]
---@field components fun(self: Instrument, reading: number|Column, options?: { serial?: string, unit?: string, time?: Column|number, bins?: Bins }): table[]

---@class CheckResults
---@field name string
---@field title string
---@field status string
---@field values table<string, { value: number|string|boolean?, u: number?, unit: string?, text: string? }>
---@field requirements table<string, { value: number?, unit: string?, u: number?, dof: number?, k_95: number?, source: string?, scatter_only: string? }>
---@field tables table<string, { columns: string[], units: table<string, string>, rows: table<string, number|string|boolean>[] }>

---@class Results
---@field title? string
---@field lidar table
---@field period? table
---@field report? table
---@field sha256? string
---@field checks table<string, CheckResults>

---@class Campaign
---@field title string
---@field uses table<string, Results>
---@field results? Results
---@field intervals Intervals
---@field sources table[]
---@field phases table[]
---@field instruments table<string, Instrument>
local Campaign = {}
---@param name string
---@return Intervals
function Campaign:account(name) end
---@param which { beam: number?, range: number?, name: string? }
---@return table
function Campaign:phase(which) end

---@class Report
local Report = {}
---@param name string
---@param x number|string|boolean
---@param options? { unit: string?, u: number|Budget|Quantity?, text: string? }
function Report:value(name, x, options) end
---@param name string
---@param t table
---@param options? { title: string }
function Report:table(name, t, options) end
---@param name string
---@param spec table
function Report:figure(name, spec) end
---@param text string
function Report:note(text) end
---@param name string
---@param options { records: Column, hours: number?, at_least: number?, bins: Bins? }
function Report:coverage(name, options) end
---@param name string
---@param t table
function Report:calibration(name, t) end
---@param reason string
function Report:inconclusive(reason) end
---@param name string
---@param x number
---@param options { u: number|Budget|Quantity?, unit: string?, source: string?, scatter_only: string? }
function Report:require(name, x, options) end

-- A free script ----------------------------------------------------------------------------------

---@type Report
report = {}
---@type table<string, table<string, Column>>
data = {}
